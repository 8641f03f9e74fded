"""How the natural voice is made to read what its own word rules read wrongly.

Found by holding its reading of every word of every sentence that the procedures and the guide can say against the
Carnegie Mellon dictionary (`tests/adapters/test_hibari_readings.py` does so again), and by ear of two recognisers.
Phones are written as the voice's network takes them: ˈ and ˌ before a stressed vowel, A as in say, I as in my.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import partial

WORDS: Mapping[str, str | Mapping[str, str]] = {
    "ammeter": "ˈæmˌiTəɹ",
    "close": "klˈOz",  # its own rule takes "Next: Close one branch" for near
    "drawing": "dɹˈɔɪŋ",
    "headlamps": "hˈɛdlˌæmps",
    "inline": "ˈɪnlˌIn",
    "kilohm": "kˈɪlOˈOm",  # with both its vowels, as people say it: two recognisers took the short one for "kilos"
    "kilohms": "kˈɪlOˈOmz",
    "kilopascal": "kˈɪləpˌæskᵊl",
    "kilopascals": "kˈɪləpˌæskᵊlz",
    "mended": "mˈɛndᵻd",
    "ninety": "nˈInti",  # with its own d it is neither ninety nor nineteen
    "read": {"DEFAULT": "ɹˈid", "VBN": "ɹˈɛd"},  # we give orders; its own rule takes "you read it" for the past
    "refuse": "ɹəfjˈuz",
}
"""Words -> phones, or phones by part of speech as its own dictionary has them."""

PHRASES: tuple[tuple[re.Pattern[str], str], ...] = ((re.compile(r"\b[Cc]lose(?= (?:to|by|enough|gloves)\b)"), "klˈOs"),)
"""Words in a place where another reading holds."""

LETTERS: Mapping[str, str] = {
    "a": "ˈA", "b": "bˈi", "c": "sˈi", "d": "dˈi", "e": "ˈi", "f": "ˈɛf", "g": "ʤˈi", "h": "ˈAʧ", "i": "ˈI",
    "j": "ʤˈA", "k": "kˈA", "l": "ˈɛl", "m": "ˈɛm", "n": "ˈɛn", "o": "ˈO", "p": "pˈi", "q": "kjˈu", "r": "ˈɑɹ",
    "s": "ˈɛs", "t": "tˈi", "u": "jˈu", "v": "vˈi", "w": "dˈʌbᵊljˌu", "x": "ˈɛks", "y": "wˈI", "z": "zˈi",
}  # fmt: skip

_ROW_OF_LETTERS = re.compile(r"(?<![\w'.])[A-Za-z](?:[ -][A-Za-z])+(?![\w'])|(?<![\w'.])[A-Za-z]/[A-Za-z](?![\w'])")
"""Letters said one by one, such as "r p m": its own rule reads the first of "a c" as the article."""

_TO_SPELL = re.compile(r"(?<![\w'])(?:A\.?C|D\.?C|OBD|RPM|VIN|DTC|ECM|ECU|ABS|MAF|MAP|TPS|PCM|LED)(?![\w'])")
"""Names of the trade in capitals whose letters are said; "VIN" and "MAP" it would read as words."""

_DIGIT = "(?:zero|one|two|three|four|five|six|seven|eight|nine)"
_A_OF_A_CODE = re.compile(rf"\b({_DIGIT} )a(?=[.,;?!]|$| {_DIGIT}\b)")
"""The letter in the middle or at the end of a fault code, not the article."""

_BRACKETS = re.compile(r"[][]")


def spelt(text: str) -> str:
    """The text with the readings that hold in this place, written as the voice's own rules take them."""
    text = _BRACKETS.sub(" ", text)  # brackets are how its rules are told phones
    for place, phones in PHRASES:
        text = place.sub(partial(_found_as, phones), text)
    text = _A_OF_A_CODE.sub(lambda found: found[1] + _letters("a"), text)
    text = _TO_SPELL.sub(lambda found: " ".join(filter(str.isalpha, found.group())), text)
    return _ROW_OF_LETTERS.sub(lambda found: _letters(found.group()), text)


def _letters(row: str) -> str:
    """Each letter read by its name, with the phones of all in one, so that no rule parts them."""
    letters = [letter for letter in row.lower() if letter in LETTERS]
    return _read_as(" ".join(letters), " ".join(LETTERS[letter] for letter in letters))


def _found_as(phones: str, found: re.Match[str]) -> str:
    return _read_as(found.group(), phones)


def _read_as(words: str, phones: str) -> str:
    return f"[{words}](/{phones}/)"

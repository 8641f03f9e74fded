"""Fault codes spoken by code: "p zero three three five", "papa oh three thirty five", typed "P0335".

Format: a letter (P, B, C or U), a digit 0 to 3, three hexadecimal digits. Source: SAE J2012, from memory, and the
contents list of its APR2002 edition. Letters by word: the ICAO spelling alphabet.
"""

from __future__ import annotations

import re
from collections.abc import Sequence as Tokens

from assistant.grammar.model import Alternatives, Expansion, Reference, Repeat, Sequence, Word
from assistant.language.numbers import ONES, parse_number

SPELLING = {
    "a": "alfa",
    "b": "bravo",
    "c": "charlie",
    "d": "delta",
    "e": "echo",
    "f": "foxtrot",
    "p": "papa",
    "u": "uniform",
}
SYSTEMS = ("p", "b", "c", "u")
END_PHRASES = (
    "no more codes", "no codes", "that is all the codes", "no more", "none", "no others", "nothing else",
    "nothing more", "that is all", "that's all", "that is it", "that's it", "none stored", "nothing stored",
    "no codes stored", "no stored codes", "no faults", "no fault codes", "no other codes", "no codes at all",
    "none at all", "nothing at all", "nothing came up",
)  # fmt: skip
"""What ends the telling of codes; the first is the one that we ask for."""

_LETTERS = (
    {letter: letter for letter in SPELLING} | {word: letter for letter, word in SPELLING.items()} | {"alpha": "a"}
)
_TYPED = re.compile(r"[pbcu][0-3][0-9a-f]{3}")
_CODE_LENGTH = 5


def parse_code(tokens: Tokens[str]) -> str | None:
    """The code that these lower-case words spell, as "P0335", or None."""
    spelt = ""
    words = list(tokens)
    if len(words) == 1 and _TYPED.fullmatch(words[0]):
        return words[0].upper()
    while words:
        if words[0] in _LETTERS:
            spelt += _LETTERS[words.pop(0)]
            continue
        taken = next((count for count in (2, 1) if _pair(words[:count]) is not None), 0)
        if not taken:
            return None
        spelt += str(_pair(words[:taken]))
        del words[:taken]
    return spelt.upper() if len(spelt) == _CODE_LENGTH and _TYPED.fullmatch(spelt) else None


def codes_in(tokens: Tokens[str]) -> tuple[str, ...]:
    """The codes in these lower-case words, each once, whatever stands around them: "one code, P0335", "P 0335 and
    P0340". None at all where one of them is not whole."""
    words = [part for token in tokens for part in _digits_apart(token)]
    found: list[str] = []
    at = 0
    while at < len(words):
        if not _begins_code(words[at : at + 2]):
            at += 1
            continue
        ends = range(min(len(words), at + _CODE_LENGTH), at, -1)
        end = next((end for end in ends if parse_code(words[at:end]) is not None), None)
        if end is None or (end < len(words) and _pair(words[end : end + 1]) is not None):
            return ()
        found.append(str(parse_code(words[at:end])))
        at = end
    return tuple(dict.fromkeys(found))


def like_a_code(tokens: Tokens[str]) -> bool:
    """Whether these words hold what looks like a code, or a part of one: a system's letter before a digit, or three
    digits in a row."""
    words = [part for token in tokens for part in _digits_apart(token)]
    digits = [_pair([word]) is not None for word in words]
    return any(_begins_code(words[at : at + 2]) or all(digits[at : at + 3]) for at in range(len(words) - 2))


def _begins_code(words: Tokens[str]) -> bool:
    first = _LETTERS.get(words[0]) if words else None
    return len(words) == 2 and first in SYSTEMS and _pair(words[1:]) is not None


def _digits_apart(token: str) -> list[str]:
    """A typed code, or a number of it, mark by mark: "0335", "p0335"; any other word as it is."""
    if re.fullmatch(r"[pbcu]?\d[\da-f]{1,3}|\d", token) is None:
        return [token]
    return [ONES[int(mark)] if mark.isdigit() else mark for mark in token]


def _pair(words: Tokens[str]) -> int | None:
    """One digit, or a number from ten to ninety nine."""
    value = parse_number(words) if words else None
    if value is None or value != int(value) or value < 0:
        return None
    small = int(value)
    return small if (len(words) == 1 or small > 20) and small < 100 else None


def say_code(code: str) -> str:
    """A code as we speak it: "P0335" is "p zero three three five"."""
    return " ".join(ONES[int(mark)] if mark.isdigit() else mark for mark in code.lower())


def code_rules() -> dict[str, Expansion]:
    """Rules of the code grammar, beside `number_rules`; the one to refer to is `code`."""
    system = Alternatives(tuple(Alternatives((Word(letter), Word(SPELLING[letter]))) for letter in SYSTEMS))
    hexadecimal = Alternatives(tuple(Word(SPELLING[letter]) for letter in "abcdef"))
    mark = Alternatives((Reference("digit"), hexadecimal))
    digit = Reference("digit")
    return {
        "code": Sequence(
            (
                system,
                digit,
                Alternatives(
                    (
                        Repeat(mark, 3, 3),
                        Sequence((digit, Reference("pair"))),
                        Sequence((Reference("pair"), digit)),
                    )
                ),
            )
        )
    }

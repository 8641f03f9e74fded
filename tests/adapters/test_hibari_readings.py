"""The natural voice reads each word that the procedures speak as the pronouncing dictionary does."""

from __future__ import annotations

import importlib
import re
from collections.abc import Iterator
from typing import Any

import pytest

from assistant.adapters.synthesiser_hibari import synthesiser
from assistant.adapters.synthesiser_hibari.readings import spelt
from assistant.guide.words import caution_words, finding_words, gate_words, instruction_words
from assistant.language.breaths import breaths
from assistant.language.numbers import say_whole
from assistant.language.quantities import UNITS
from assistant.procedure.sound import _apart, sounds_of, unknown_words
from assistant.wiring import load_libraries, shipped_procedures

ARPABET = {
    "A": "EY", "I": "AY", "O": "OW", "W": "AW", "Y": "OY", "Q": "OW", "i": "IY", "u": "UW", "æ": "AE", "ɑ": "AA",
    "ə": "AH", "ɐ": "AH", "ᵊ": "AH", "ɛ": "EH", "ɪ": "IH", "ᵻ": "IH", "ɔ": "AO", "ʊ": "UH", "ʌ": "AH", "ɜ": "ER",
    "ɹ": "R", "ʤ": "JH", "ʧ": "CH", "ŋ": "NG", "θ": "TH", "ð": "DH", "ʃ": "SH", "ʒ": "ZH", "T": "T", "ɡ": "G",
    "j": "Y", "h": "HH",
}  # fmt: skip
"""The voice's phones as the dictionary writes them; the others have the same letter in both."""

OTHERWISE = frozenset({"everything", "kilohm", "kilohms", "seal", "seals", "wiring"})
"""Words read otherwise than the dictionary has them, and rightly."""

FARTHEST = 1.0
"""Phones apart; less is a matter of accent."""

AS_WE_MEAN_IT = {
    "Hang the gauge so that you read it.": "ɹˈid",
    "Next: Close one branch at a time.": "klˈOz",
    "Open the duct close to the throttle.": "klˈOs",
    "Red lead on the plus post.": "lˈid",
    "Did it live as long as you puffed?": "lˈɪv",
    "About one hundred ninety r p m.": "ˈɑɹ pˈi ˈɛm",
    "Noted: p zero a one two.": "zˈɪɹO ˈA wˈʌn",
    "Noted: c one b f a.": "bˈi ˈɛf ˈA",
    "Twelve point four kilopascals.": "kˈɪləpˌæskᵊlz",
}
"""Words that are written alike and read in two ways, and letters, as they stand in our sentences."""


@pytest.fixture(scope="module")
def rules() -> Any:
    """The voice's rules for words, with ours."""
    with synthesiser._ONE_AT_A_TIME:
        return synthesiser._engine()._voice.g2p


def said() -> Iterator[str]:
    """What the procedures say in one breath each, their answers and the units."""
    for procedure in load_libraries(shipped_procedures())[1].values():
        texts = [one.text for each in procedure.cautions for one in caution_words(each)]
        texts += [one.text for each in procedure.gates for one in gate_words(each)]
        for step in procedure.steps:
            texts += [one.text for one in (*instruction_words(step), *finding_words(step))]
            texts += [phrase for result in step.results for phrase in result.phrases]
        for text in texts:
            yield from breaths(text)
    yield from (f"{say_whole(number)} {unit.many}" for number in range(0, 120, 7) for unit in UNITS)


def phones(reading: str) -> tuple[str, ...]:
    """The dictionary's phones of a reading."""
    found: list[str] = []
    for sign in reading:
        if sign.isalpha() and sign not in "ˈˌ":
            phone = ARPABET.get(sign, sign.upper())
            if not (phone == "R" and found and found[-1] == "ER"):
                found.append(phone)
    return tuple(found)


def nearest(reading: str, word: str) -> float:
    """How many phones the reading is from the nearest that the dictionary has."""
    as_read = (phones(reading), phones(reading.replace("əɹ", "ɜ")))
    return min(_apart(one, other, 9.0) for one in as_read for other in sounds_of(word))


def test_no_word_is_guessed_or_read_otherwise_than_the_dictionary_has_it(rules: Any) -> None:
    """Each is in its own dictionary, or in ours; whoever adds a word that is not writes down how it is read."""
    normal = importlib.import_module("hibari.g2p.normalize").normalize
    guessed, otherwise = {}, {}
    kept, rules._oov = rules._oov, lambda word: guessed.setdefault(word.lower(), word) and "ə"
    try:
        for text in sorted(set(said())):
            for token in rules.phonemize_tokens(rules.tokenize(normal(spelt(text)))):
                word = re.sub(r"[^a-z']", "", token.text.lower())
                if len(word) > 1 and token.phonemes and " " not in token.phonemes and not unknown_words(word):
                    far = nearest(token.phonemes, word)
                    if far >= FARTHEST:
                        otherwise[word] = (token.phonemes, round(far, 1))
    finally:
        rules._oov = kept
    assert not guessed
    assert {word: read for word, read in otherwise.items() if word not in OTHERWISE} == {}


@pytest.mark.parametrize(("text", "reading"), AS_WE_MEAN_IT.items())
def test_what_is_written_alike_is_read_as_we_mean_it(rules: Any, text: str, reading: str) -> None:
    """In the sentences where its own rules erred, and in those where ours could."""
    assert reading in rules(spelt(text))

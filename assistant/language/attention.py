"""The attention word: chosen by the technician for a loud shop, said before each command, so that talk means nothing.

Stop is obeyed and a danger taken without it. Dictated words need none, for they are asked for one by one.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import replace

from assistant.errors import UsageError
from assistant.language.commands import UNADDRESSED, control_of
from assistant.language.dangers import danger_told
from assistant.language.model import Expected, Heard
from assistant.procedure.sound import LEAST_DISTANCE, distance, sounds_of

MOST_WORDS = 3
LEAST_SYLLABLES = 2
"""A single syllable is too easily found in talk and noise. Source: judgement."""

_PLAIN = re.compile(r"[a-z]+(?: [a-z]+)*")


def check_attention(text: str, vocabulary: Collection[str]) -> str:
    """The word or words, in lower case. `vocabulary`: every word that may be said in the job.

    Raises UsageError when it could not be heard, or not be told from what else is said.
    """
    word = " ".join(text.lower().split())
    if not _PLAIN.fullmatch(word) or len(word.split()) > MOST_WORDS:
        raise UsageError(f"--attention takes one to {MOST_WORDS} plain words, not '{text[:60]}'.")
    silent = [part for part in word.split() if not sounds_of(part)]
    if silent:
        raise UsageError(f"--attention: I do not know how '{silent[0]}' sounds; choose words of the dictionary.")
    if _syllables(word) < LEAST_SYLLABLES:
        raise UsageError(f"--attention '{word}' is too short to be told from noise; choose two syllables or more.")
    near = {part: _alike(part, vocabulary) for part in {word, *word.split()}}
    if near[word] or all(near[part] for part in word.split()):
        other = near[word] or next(found for found in near.values() if found)
        raise UsageError(f"--attention '{word}' sounds like '{other}', which may be said in this job; choose another.")
    return word


def addressed(heard: Heard, expected: Expected) -> Heard | None:
    """What was said after the attention word; None where it was not said and had to be."""
    word = expected.attention
    if not word or heard.words is None:
        return heard
    said = heard.words.lower().removeprefix(word)
    if said != heard.words.lower() and said[:1] in (" ", ","):
        rest = said.strip(" ,")
        return heard if expected.dictation and control_of(rest) is None else replace(heard, words=rest)
    plain = heard.words.lower().strip(" .!")
    unbound = expected.dictation or control_of(plain) in UNADDRESSED or danger_told(plain.split()) is not None
    return heard if unbound else None


def to_say(phrases: Iterable[str], expected: Expected) -> tuple[str, ...]:
    """The phrases as they must be said now: with the attention word where one is needed."""
    word = "" if expected.dictation else expected.attention
    free = {words for each in UNADDRESSED for words in each.row.phrases}
    return tuple(f"{word} {each}" if word and each not in free else each for each in phrases)


def _syllables(word: str) -> int:
    """Vowels carry a stress mark in the dictionary; the shortest pronunciation counts."""
    return sum(min(sum(phone[-1].isdigit() for phone in phones) for phones in sounds_of(part)) for part in word.split())


def _alike(word: str, vocabulary: Collection[str]) -> str | None:
    return next(
        (each for each in sorted(vocabulary) if distance(word, each, most=LEAST_DISTANCE) <= LEAST_DISTANCE), None
    )

"""Recorded people, one word or a few digits at a time: what is taken at once, what is asked, what is taken wrongly.

Each recording is heard as a take of its own, not yet on the live way of listening. The noise lies under it at the mean
power of what is loud in it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.bench.accuracy import kind_of, rates
from assistant.bench.noises import NOISES
from assistant.bench.recorded import OTHER_WORDS, WORDS, Part, Take, digits, single_words
from assistant.bench.sets import Ask
from assistant.bench.stream import Stream, in_noise
from assistant.bench.voices import trimmed
from assistant.grammar.jsgf import read_jsgf
from assistant.grammar.model import Grammar
from assistant.language.commands import ALWAYS
from assistant.language.grammars import WORDED_TAGS, grammar_of
from assistant.language.model import Expected
from assistant.language.numbers import say_whole
from assistant.ports import SAMPLE_RATE_HZ, Listening

Pcm = NDArray[np.int16]

LEVELS_DB = (None, 15.0, 9.0, 6.0)
"""None: as it was recorded."""

WANTED = ("yes", "no", "stop")
LOUD_DB = 30.0
"""What is further below the loudest moment of a recording is cut off at its ends."""

GAPS_S = (0.05, 0.35)
"""Silence between two digits of a string: at least and at most."""

TEN = tuple(say_whole(digit) for digit in range(10))
DIGIT_STRINGS = f"#JSGF V1.0; grammar digits; public <digits> = ({' | '.join(TEN)})+;"

Tell = Callable[[str], None]


def of_words(
    recogniser: EmbeddedRecogniser, people: Path, asks: Sequence[Ask], talk: Sequence[Pcm], *,
    count: int, seed: int, tell: Tell = lambda words: None,
) -> list[dict[str, Any]]:  # fmt: skip
    """A row for each grammar, noise level and word said, at most `count` people a word: a read-back's, and that of the
    step in which most may be said. In each of them only WANTED are legal; of other words `right` means refused."""
    busiest = max(asks, key=lambda ask: len(ask.answers) + len(ask.others))
    grammars = {"read-back": confirming(asks[0].expected), "busiest step": busiest.grammar}
    takes = {word: single_words(people, word, Part.MEASURE)[:count] for word in (*WORDS, OTHER_WORDS)}
    rows = []
    for name, grammar in grammars.items():
        for level in LEVELS_DB:
            for word in (*WANTED, "others"):
                said = takes.get(word) or [take for each in takes if each not in WANTED for take in takes[each]]
                wanted = word if word in WANTED else None
                rows.append({"grammar": name, "said": word, "level": level_name(level)})
                rows[-1] |= _heard(
                    recogniser, grammar, [(take.pcm, wanted) for take in said], level, talk=talk, seed=seed
                )
                tell("  ".join(f"{key} {value}" for key, value in rows[-1].items() if not isinstance(value, list)))
    return rows


def of_digits(
    recogniser: EmbeddedRecogniser, people: Path, talk: Sequence[Pcm], *,
    count: int, seed: int, tell: Tell = lambda words: None,
) -> list[dict[str, Any]]:  # fmt: skip
    """A row for each speaker and noise level: `count` strings of two to four digits, each of one speaker's takes."""
    grammar = read_jsgf(DIGIT_STRINGS)
    rows = []
    for speaker, takes in digits(people).items():
        said = digit_strings(takes, count=count, seed=seed)
        for level in LEVELS_DB:
            rows.append({"speaker": speaker, "level": level_name(level)})
            rows[-1] |= _heard(recogniser, grammar, said, level, talk=talk, seed=seed)
            tell("  ".join(f"{key} {value}" for key, value in rows[-1].items() if not isinstance(value, list)))
    return rows


def digit_strings(takes: Mapping[int, Sequence[Take]], *, count: int, seed: int) -> list[tuple[Pcm, str]]:
    """Sound and words of strings of two to four digits, with gaps of GAPS_S between them."""
    random = np.random.default_rng(seed)
    made = []
    for _ in range(count):
        said = [int(digit) for digit in random.integers(10, size=random.integers(2, 5))]
        parts: list[Pcm] = []
        for digit in said:
            parts.append(trimmed(takes[digit][int(random.integers(len(takes[digit])))].pcm, LOUD_DB))
            parts.append(np.zeros(int(random.uniform(*GAPS_S) * SAMPLE_RATE_HZ), np.int16))
        made.append((np.concatenate(parts[:-1]), " ".join(TEN[digit] for digit in said)))
    return made


def confirming(expected: Expected) -> Grammar:
    """What may be said at a read-back of that step: its results anew, and every command."""
    return grammar_of(Expected(controls=ALWAYS, results=expected.results, questions=expected.questions))


STILL, QUIET_DB = "fan", 50.0
"""What counts as quiet: a room far from any machine, with nobody talking."""


def level_name(level: float | None) -> str:
    """A noise level for a table."""
    return "quiet" if level is None else f"{level:g} dB"


def _heard(
    recogniser: EmbeddedRecogniser, grammar: Grammar, said: Sequence[tuple[Pcm, str | None]], level: float | None, *,
    talk: Sequence[Pcm], seed: int,
) -> dict[str, Any]:  # fmt: skip
    """The rates of what became of them; other words of the same meaning are right. None said: nothing that is legal."""
    random = np.random.default_rng(seed)
    stream, listening = Stream(recogniser), Listening(grammar=grammar)
    language = recogniser.language(grammar)
    kinds, taken = [], []
    for number, (sound, words) in enumerate(said):
        noise = list(NOISES)[number % len(NOISES)] if level is not None else STILL
        loud = trimmed(sound, LOUD_DB)
        stretch = in_noise(loud, QUIET_DB if level is None else level, noise, random, talk)
        heard = stream.heard(stretch, listening)
        same = words and heard.words and language.mean_the_same(words, heard.words, WORDED_TAGS)
        kinds.append(_kind(words if same else heard.words, words, heard.unsure))
        taken += [heard.words] if kinds[-1].endswith("wrong") else []
    return rates(kinds) | {"taken": taken}


def _kind(heard: str | None, said: str | None, unsure: bool) -> str:
    """As `kind_of`; of what is not legal a refusal is right."""
    if said is None:
        return "right" if heard is None else kind_of(heard, "", unsure)
    return kind_of(heard, said, unsure)

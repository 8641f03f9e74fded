"""Recorded people, one word or a few digits at a time: what is taken at once, what is asked, what is taken wrongly.

Each recording is heard as a take of its own, not yet on the live way of listening. The noise lies under it at the mean
power of what is loud in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.bench.accuracy import kind_of, rates
from assistant.bench.noises import NOISES
from assistant.bench.recorded import OTHER_WORDS, WORDS, Part, Take, digits, single_words
from assistant.bench.setting import Bench, Setting
from assistant.bench.stream import Stream, in_noise
from assistant.bench.voices import trimmed
from assistant.errors import UsageError
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

READ_BACK, BUSIEST = GRAMMARS = ("read-back", "busiest step")
OTHERS = "others"

Row = dict[str, Any]


def of_words(bench: Bench) -> list[dict[str, Any]]:
    """A row for each grammar, noise level and word said, at most `count` people a word: a read-back's, and that of the
    step in which most may be said. In each of them only WANTED are legal; of other words `right` means refused."""
    heads = [
        {"grammar": name, "said": word, "level": level_name(level)}
        for name in GRAMMARS
        for level in LEVELS_DB
        for word in (*WANTED, OTHERS)
    ]
    tasks = [(name, level, word) for name in GRAMMARS for level in LEVELS_DB for word in (*WANTED, OTHERS)]
    return _told(bench, heads, bench.each(_words, tasks))


def of_digits(bench: Bench) -> list[dict[str, Any]]:
    """A row for each speaker and noise level: `count` strings of two to four digits, each of one speaker's takes."""
    speakers = list(digits(_people(bench.setting)))
    heads = [{"speaker": speaker, "level": level_name(level)} for speaker in speakers for level in LEVELS_DB]
    tasks = [(speaker, level) for speaker in speakers for level in LEVELS_DB]
    return _told(bench, heads, bench.each(_strings, tasks))


def _told(bench: Bench, heads: Sequence[Row], found: Iterable[Row]) -> list[Row]:
    rows = []
    for head, rest in zip(heads, found, strict=True):
        rows.append(head | rest)
        bench.tell("  ".join(f"{key} {value}" for key, value in rows[-1].items() if not isinstance(value, list)))
    return rows


def _people(setting: Setting) -> Path:
    if setting.wish.people is None:
        raise UsageError("--part words and --part digits need --people, a folder of recorded people.")
    return setting.wish.people


def _words(setting: Setting, task: tuple[str, float | None, str]) -> Row:
    name, level, word = task
    asks = [ask for ask in setting.asks if ask.answers]
    if name == READ_BACK:
        grammar = confirming(asks[0].expected)
    else:
        grammar = max(asks, key=lambda ask: len(ask.answers) + len(ask.others)).grammar
    words = [word] if word in WANTED else [each for each in (*WORDS, OTHER_WORDS) if each not in WANTED]
    people, count = _people(setting), setting.wish.count
    takes = [take for each in words for take in single_words(people, each, Part.MEASURE)[:count]]
    wanted = word if word in WANTED else None
    return _heard(setting, grammar, [(take.pcm, wanted) for take in takes], level)


def _strings(setting: Setting, task: tuple[str, float | None]) -> Row:
    speaker, level = task
    takes = digits(_people(setting))[speaker]
    said = digit_strings(takes, count=setting.wish.count, seed=setting.wish.seed)
    return _heard(setting, read_jsgf(DIGIT_STRINGS), said, level)


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


def _heard(setting: Setting, grammar: Grammar, said: Sequence[tuple[Pcm, str | None]], level: float | None) -> Row:
    """The rates of what became of them; other words of the same meaning are right. None said: nothing that is legal."""
    recogniser, random = setting.recogniser, np.random.default_rng(setting.wish.seed)
    stream, listening = Stream(recogniser), Listening(grammar=grammar)
    language = recogniser.language(grammar)
    kinds, taken = [], []
    for number, (sound, words) in enumerate(said):
        noise = list(NOISES)[number % len(NOISES)] if level is not None else STILL
        loud = trimmed(sound, LOUD_DB)
        stretch = in_noise(loud, QUIET_DB if level is None else level, noise, random, setting.talk)
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

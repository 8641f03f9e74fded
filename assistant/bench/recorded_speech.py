"""Recorded people, one word or a few digits at a time: what is taken at once, what is asked, what is taken wrongly.

Heard as a live session hears, one after the other in one stream, the noise another one each time and at the mean power
of what is loud in the recording. Of each word that was not taken it is told where it was lost.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.look import Look
from assistant.bench.accuracy import kind_of, rates
from assistant.bench.noises import NOISES
from assistant.bench.recorded import OTHER_WORDS, WORDS, Part, Take, digits, single_words
from assistant.bench.sets import at_read_back
from assistant.bench.setting import Bench, Setting
from assistant.bench.stream import Stream, core_of, in_noise
from assistant.bench.voices import trimmed
from assistant.errors import UsageError
from assistant.grammar.jsgf import read_jsgf
from assistant.hearing.beam import Language
from assistant.hearing.endpoint import FRAME_S
from assistant.language.commands import ALWAYS
from assistant.language.grammars import WORDED_TAGS
from assistant.language.model import Expected, Heard, Unclear
from assistant.language.numbers import say_whole
from assistant.language.understand import understand
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
    tasks = [
        (name, level, word)
        for name in GRAMMARS
        for level in LEVELS_DB
        for word in (*WANTED, OTHERS)
        if bench.setting.wish.rows in f"{name} {level_name(level)} {word}"
    ]
    heads = [{"grammar": name, "said": word, "level": level_name(level)} for name, level, word in tasks]
    return _told(bench, heads, bench.each(_words, tasks))


def of_digits(bench: Bench) -> list[dict[str, Any]]:
    """A row for each speaker and noise level: `count` strings of two to four digits, each of one speaker's takes."""
    speakers = list(digits(_people(bench.setting)))
    tasks = [
        (speaker, level)
        for speaker in speakers
        for level in LEVELS_DB
        if bench.setting.wish.rows in f"{speaker} {level_name(level)}"
    ]
    heads = [{"speaker": speaker, "level": level_name(level)} for speaker, level in tasks]
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
    now = None
    if name == READ_BACK:
        now = confirmed(asks[0].expected)
        listening = at_read_back(now)
    else:
        listening = Listening(grammar=max(asks, key=lambda ask: len(ask.answers) + len(ask.others)).grammar)
    words = [word] if word in WANTED else [each for each in (*WORDS, OTHER_WORDS) if each not in WANTED]
    people, some = _people(setting), slice(setting.wish.past, setting.wish.past + setting.wish.count)
    takes = [take for each in words for take in single_words(people, each, Part.MEASURE)[some]]
    wanted = word if word in WANTED else None
    return _heard(setting, listening, [(take.pcm, wanted) for take in takes], level, now)


def _strings(setting: Setting, task: tuple[str, float | None]) -> Row:
    speaker, level = task
    takes = digits(_people(setting))[speaker]
    said = digit_strings(takes, count=setting.wish.count, seed=setting.wish.seed)
    return _heard(setting, Listening(grammar=read_jsgf(DIGIT_STRINGS)), said, level)


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


def confirmed(expected: Expected) -> Expected:
    """What may be said at a read-back of that step: its results anew, and every command."""
    return Expected(controls=ALWAYS, results=expected.results, questions=expected.questions)


STILL, QUIET_DB = "fan", 50.0
"""What counts as quiet: a room far from any machine, with nobody talking."""


def level_name(level: float | None) -> str:
    """A noise level for a table."""
    return "quiet" if level is None else f"{level:g} dB"


def _heard(
    setting: Setting,
    listening: Listening,
    said: Sequence[tuple[Pcm, str | None]],
    level: float | None,
    expected: Expected | None = None,
) -> Row:
    """The rates of what became of them, and how many were lost where; other words of the same meaning are right. None
    said: nothing that is legal. With what is `expected`, `obeyed`: by which noise how many a session would act upon,
    which holds what was heard against what was written freely."""
    recogniser, random = setting.recogniser, np.random.default_rng(setting.wish.seed)
    stream, language = Stream(recogniser), recogniser.language(listening.grammar)
    kinds, taken, lost, obeyed = [], [], Counter[str](), Counter[str]()
    looks: list[Look] = []
    recogniser.on_look = looks.append
    for number, (sound, words) in enumerate(said):
        noise = list(NOISES)[number % len(NOISES)] if level is not None else STILL
        loud = trimmed(sound, LOUD_DB)
        stretch = in_noise(loud, QUIET_DB if level is None else level, noise, random, setting.talk)
        core, before = core_of(loud), stream.at_s
        looks.clear()
        heard = stream.heard(stretch, listening)
        same = words is not None and _means(language, words, heard.words)
        kinds.append(_kind(words if same else heard.words, words, heard.unsure))
        obeyed[noise] += expected is not None and acted_upon(heard, expected)
        taken += [heard.words] if kinds[-1].endswith("wrong") else []
        if words is not None and kinds[-1] != "right":
            begins_s, ends_s = (before + (stretch.begins + place) / SAMPLE_RATE_HZ for place in core)
            said_so = partial(_means, language, words)
            cause = kinds[-1] if kinds[-1] != "refused" else where_lost(looks, said_so, begins_s, ends_s)
            lost[f"{cause} over talk" if noise == "babble" else cause] += 1
    recogniser.on_look = lambda look: None
    told = {} if expected is None else {"obeyed": dict(obeyed)}
    return rates(kinds) | {"taken": taken, "lost": dict(lost.most_common())} | told


def acted_upon(heard: Heard, expected: Expected) -> bool:
    """Whether a session does something for it but ask."""
    silent = heard.words is None and heard.free_text is None
    return not silent and not isinstance(understand(heard, expected), Unclear)


def _means(language: Language, words: str, heard: str | None) -> bool:
    return heard is not None and language.mean_the_same(words, heard, WORDED_TAGS)


def where_lost(looks: Sequence[Look], said_so: Callable[[str | None], bool], begins_s: float, ends_s: float) -> str:
    """Where a word that stands between these seconds was lost: at the gate, at its end, by the recogniser or its trust.
    `looks`: at the sound around it, in their order; `said_so`: whether what was found means the word."""
    near = [look for look in looks if look.ended_s > begins_s + FRAME_S and look.began_s < ends_s]
    whole = [look for look in near if look.began_s <= begins_s + FRAME_S and look.ended_s >= ends_s - FRAME_S]
    if not near:
        return "gate shut"
    if any(look.acts for look in near):
        return "answered too late" if any(look.acts and look.sure for look in near) else "nobody surely spoke"
    if not whole:
        return "onset cut" if all(look.began_s > begins_s + FRAME_S for look in near) else "ended early"
    if any(said_so(look.best) for look in whole):
        return "not trusted"
    return "a rival" if any(look.best for look in whole) else "nothing written"


def _kind(heard: str | None, said: str | None, unsure: bool) -> str:
    """As `kind_of`; of what is not legal a refusal is right."""
    if said is None:
        return "right" if heard is None else kind_of(heard, "", unsure)
    return kind_of(heard, said, unsure)

"""Whether short words pass the gate: people's and made-up voices' in shop noise; and what noise alone sets off.

The live way of listening writes down only what its gate takes for speech, so what does not pass is lost without a sign.
Words are strung in steady noise, over each noise and through loud and soft microphones in turn.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import GATE_LAYERS, read_gate_layers
from assistant.adapters.recogniser_embedded.limits import COMMAND, LEAD_S
from assistant.bench.accuracy import grouped_shares, kind_of, poisson_upper, wilson
from assistant.bench.noises import NOISES
from assistant.bench.recorded import Part, single_words
from assistant.bench.setting import Bench, Setting
from assistant.bench.stream import Stream, core_of, strung
from assistant.bench.voices import trimmed
from assistant.hearing.endpoint import FRAME_S, Endpoint, Mark
from assistant.hearing.gate import FRAME, Gate
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ, Listening
from assistant.speech_detector import speech_detector

Pcm = NDArray[np.int16]

WORDS = ("done", "ready", "yes", "no", "stop")
SNRS_DB = (38.0, 15.0, 9.0, 6.0)
"""The first is a quiet shop."""

LEVELS_DBFS = (-26.0, -36.0, -46.0)
"""Of the voice: a microphone near the mouth, and softer ones."""

WORDS_A_STREAM = 20
NOISE_S = 360.0
"""Noise alone in one piece of work."""

NOISE_DBFS = (-32.0, -50.0)
NOISE_SHARDS = 2

LATE_S = 0.1
"""The gate may notice a word so long after its end: what came before is kept."""

ANSWER_S = 1.0
"""A word is worked out so soon after its end, or it is not counted as in time."""

LISTENING = Listening(grammar=grammar_of(Expected(controls=frozenset(Control))))
"""A step in which every command may be said, yes and no among them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """What became of one word. `passed`: the gate noticed it; `in_time`: what was kept held it from its beginning and
    was worked out soon after its end, `after_s` behind it; `kind`: as accuracy.kind_of says."""

    group: str
    snr_db: float
    noise: str
    level_dbfs: float
    speaker: str
    word: str
    passed: bool
    in_time: bool
    after_s: float
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """What noise alone set off in so many hours. `refused`: told as "not understood"; `cpu_s`: computing."""

    kind: str
    hours: float
    starts: int
    workings: int
    acted: int
    asked: int
    refused: int
    cpu_s: float


def through_the_gate(bench: Bench) -> dict[str, Any]:
    """Rows of words by group and noise level, rows of noise alone, and shares by noise, microphone and speaker."""
    setting = bench.setting
    groups = [*setting.voices, "people"] if setting.wish.people else [*setting.voices]
    streams = -(-setting.wish.count // WORDS_A_STREAM)
    tasks = [
        (group, snr_db, number)
        for group in groups
        if said_by(setting, group)
        for snr_db in SNRS_DB
        for number in range(streams)
    ]
    words = [word for part in bench.each(_words, tasks) for word in part]
    rows = []
    for group in groups:
        for snr_db in SNRS_DB:
            got = [word for word in words if (word.group, word.snr_db) == (group, snr_db)]
            rows += [_row(group, snr_db, got)] if got else []
    for row in rows:
        bench.tell("  ".join(f"{name} {value}" for name, value in row.items()))
    alone = [(kind, number) for kind in NOISES for number in range(NOISE_SHARDS)]
    noise = [_noise_row(kind, found) for kind, found in _by_kind(bench.each(_alone, alone))]
    for row in noise:
        bench.tell("  ".join(f"{name} {value}" for name, value in row.items()))
    loud = [word for word in words if word.snr_db < SNRS_DB[0]]
    shares = {
        "by_noise": grouped_shares(loud, lambda word: f"{word.noise} {word.snr_db:g} dB", lambda word: word.in_time),
        "by_level": grouped_shares(loud, lambda word: f"{word.level_dbfs:g} dBFS", lambda word: word.in_time),
        "by_word": grouped_shares(loud, lambda word: word.word, lambda word: word.in_time),
        "by_speaker": grouped_shares(
            [word for word in loud if word.group != "people"], lambda word: word.speaker, lambda word: word.in_time
        ),
    }
    return {"rows": rows, "noise": noise} | shares


def said_by(setting: Setting, group: str) -> list[tuple[str, str]]:
    """Speaker and word of all that a group can say, mixed; of people a number for the speaker."""
    if group == "people":
        people = setting.wish.people
        said = [
            (str(number), word) for word in WORDS for number in range(len(_recorded(people, word)) if people else 0)
        ]
    else:
        said = [(str(number), word) for number in range(len(setting.voices[group])) for word in WORDS]
    order = np.random.default_rng(setting.wish.seed).permutation(len(said))
    return [said[place] for place in order]


def _words(setting: Setting, task: tuple[str, float, int]) -> list[Word]:
    """What became of the words of one stream."""
    group, snr_db, number = task
    said = said_by(setting, group)
    first = number * WORDS_A_STREAM
    chosen = [said[place % len(said)] for place in range(first, min(first + WORDS_A_STREAM, setting.wish.count))]
    noise = list(NOISES)[number % len(NOISES)]
    level = LEVELS_DBFS[number // len(NOISES) % len(LEVELS_DBFS)]
    sounds = [_sound(setting, group, int(speaker), word) for speaker, word in chosen]
    random = np.random.default_rng([setting.wish.seed, number])
    pcm, spans = strung(sounds, snr_db, noise, random, setting.talk, level_db=level)
    kept = list(utterances(pcm))
    heard = list(Stream(setting.recogniser).all_heard(pcm, LISTENING))
    found = []
    for (speaker, word), sound, (begins, _) in zip(chosen, sounds, spans, strict=True):
        core = core_of(sound)
        begins_s, ends_s = (begins + core[0]) / SAMPLE_RATE_HZ, (begins + core[1]) / SAMPLE_RATE_HZ
        after_s = min((after for each in kept if (after := each.answers(begins_s, ends_s)) is not None), default=None)
        answer = _answer(heard, begins_s, ends_s)
        name = speaker if group == "people" else setting.voices[group][int(speaker)].name
        found.append(
            Word(
                group=group,
                snr_db=snr_db,
                noise=noise,
                level_dbfs=level,
                speaker=name,
                word=word,
                passed=any(each.notices(begins_s, ends_s) for each in kept),
                in_time=after_s is not None and after_s <= ANSWER_S,
                after_s=after_s if after_s is not None else float("nan"),
                kind=kind_of(answer.words, word, answer.unsure),
            )
        )
    return found


@lru_cache(maxsize=len(WORDS))
def _recorded(people: Path, word: str) -> list[Pcm]:
    return [take.pcm for take in single_words(people, word, Part.MEASURE)]


def _sound(setting: Setting, group: str, speaker: int, word: str) -> Pcm:
    if group == "people":
        people = setting.wish.people
        return trimmed(_recorded(people, word)[speaker], 30.0) if people else np.zeros(0, np.int16)
    return setting.speech(setting.voices[group][speaker], word)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What the gate let through: noticed at `noticed_s`, worked out at each of `tried_s`, the last at its end."""

    noticed_s: float
    tried_s: Sequence[float]

    def notices(self, begins_s: float, ends_s: float) -> bool:
        """Whether it was noticed by the end of a word that stands there, and was not over before it."""
        return self.noticed_s <= ends_s + LATE_S and self.tried_s[-1] > begins_s + FRAME_S

    def answers(self, begins_s: float, ends_s: float) -> float | None:
        """Seconds after the word's end at which it is worked out with all of the word in it; None where it is not."""
        whole = self.noticed_s - LEAD_S <= begins_s + FRAME_S and self.noticed_s <= ends_s + LATE_S
        after = [at_s - ends_s for at_s in self.tried_s if at_s >= ends_s - FRAME_S]
        return after[0] if whole and after else None


def utterances(pcm: Pcm) -> Iterator[Kept]:
    """What the live gate lets through of a stream, nothing being taken as an answer before the silence is long."""
    gate, detector, endpoint = (
        Gate(read_gate_layers(GATE_LAYERS)),
        speech_detector(),
        Endpoint(COMMAND),
    )
    noticed_s, tried_s = 0.0, list[float]()
    frames = pcm[: len(pcm) // FRAME * FRAME].reshape(-1, FRAME)
    for number, frame in enumerate(frames):
        voice = detector(gate.levelled(frame).tobytes())
        mark = endpoint.frame(gate.speaks(frame, voice), voice, gate.level_dbfs)
        at_s = (number + 1) * FRAME_S
        if mark is Mark.BEGAN:
            noticed_s, tried_s = at_s, []
        elif mark in (Mark.TRY, Mark.ENDED):
            tried_s.append(at_s)
        if mark is Mark.ENDED:
            yield Kept(noticed_s=noticed_s, tried_s=tried_s)
    if endpoint.speaking:
        yield Kept(noticed_s=noticed_s, tried_s=[*tried_s, len(frames) * FRAME_S])


def _answer(heard: Sequence[Heard], begins_s: float, ends_s: float) -> Heard:
    """The first thing heard with words, of what overlaps the word."""
    near = [each for each in heard if each.ended_s > begins_s and each.began_s < ends_s]
    worded = [each for each in near if each.words is not None]
    return next(iter(worded or near), Heard(words=None, confidence=0.0))


def _alone(setting: Setting, task: tuple[str, int]) -> Noise:
    """Noise alone: what the gate lets through, and what is heard in it."""
    kind, number = task
    random = np.random.default_rng([setting.wish.seed, number])
    nothing = [np.zeros(16, np.int16)] * round(NOISE_S / 1.9)
    pcm, _ = strung(nothing, 0.0, kind, random, setting.talk, level_db=NOISE_DBFS[number % len(NOISE_DBFS)])
    kept = list(utterances(pcm))
    began = time.process_time()
    heard = list(Stream(setting.recogniser).all_heard(pcm, LISTENING))
    cpu_s = time.process_time() - began
    worded = [each for each in heard if each.words is not None]
    return Noise(
        kind=kind,
        hours=len(pcm) / SAMPLE_RATE_HZ / 3600,
        starts=len(kept),
        workings=sum(len(each.tried_s) for each in kept),
        acted=sum(not each.unsure for each in worded),
        asked=sum(each.unsure for each in worded),
        refused=len(heard) - len(worded),
        cpu_s=cpu_s,
    )


def _by_kind(found: Iterator[Noise]) -> list[tuple[str, list[Noise]]]:
    kinds: dict[str, list[Noise]] = {}
    for one in found:
        kinds.setdefault(one.kind, []).append(one)
    return list(kinds.items())


def _row(group: str, snr_db: float, words: Sequence[Word]) -> dict[str, Any]:
    count = len(words)
    passed, in_time = sum(word.passed for word in words), sum(word.in_time for word in words)
    after = [word.after_s for word in words if word.in_time]
    kinds = {
        kind: sum(word.kind == kind for word in words) for kind in ("right", "asked-right", "wrong", "asked-wrong")
    }
    return (
        {"voices": group, "snr_db": snr_db, "count": count, "passed": round(passed / count, 4)}
        | {"in_time": round(in_time / count, 4), "in_time_95": [round(end, 4) for end in wilson(in_time, count)]}
        | {"after_ms": round(float(np.median(after)) * 1000) if after else None}
        | {kind: round(number / count, 4) for kind, number in kinds.items()}
    )


def _noise_row(kind: str, found: Sequence[Noise]) -> dict[str, Any]:
    hours = sum(each.hours for each in found)
    names = ("starts", "workings", "acted", "asked", "refused")
    per_hour = {f"{name}_an_hour": round(sum(getattr(each, name) for each in found) / hours, 1) for name in names}
    acted = sum(each.acted for each in found)
    return (
        {"noise": kind, "hours": round(hours, 3)}
        | per_hour
        | {"acted_an_hour_upper_95": round(poisson_upper(acted) / hours, 1)}
        | {"cpu": round(sum(each.cpu_s for each in found) / hours / 3600, 4)}
    )

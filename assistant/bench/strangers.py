"""False accepts: other people's talk, music and tools, none of it for us, heard as a live session hears."""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.bench.accuracy import poisson_upper
from assistant.bench.crank_noise import recorded_music
from assistant.bench.noises import NOISES
from assistant.bench.sets import Ask
from assistant.bench.setting import Bench, Setting
from assistant.bench.spoken_words import spoken_words
from assistant.bench.stream import Stream
from assistant.bench.talk import ACTED, LEARNT_EVERY, acted, read_aloud
from assistant.bench.voices import Speaker, speak
from assistant.grammar.automaton import automaton_of
from assistant.grammar.model import Grammar
from assistant.hearing.digits import DIGITS, TEENS, TENS
from assistant.hearing.trust import HAZARDOUS
from assistant.language.model import Expected, Heard, Unclear
from assistant.language.understand import asked, understand
from assistant.ports import SAMPLE_RATE_HZ, Listening
from assistant.session.heard_before import HeardBefore

Pcm = NDArray[np.int16]
GAP_S = (0.3, 1.5)
"""Silence between two things a stranger says: at least and at most."""

PAUSE_S = 0.3
"""A silence so long parts two things that a stranger says."""

MODULES = ("argparse", "datetime", "email", "json", "logging", "queue", "random", "statistics", "tarfile", "threading")

LEVEL = 0.05
"""Root mean square of the strangers' talk: as loud as the technician's own."""


WAYS = ("step", "each step", "everything")
"""What is listened for: the step in which most may be said, the steps that ask in turn, one a shard, or all that may be
said anywhere."""

ACTED_SHARDS = 48
"""The actors' lines in so many pieces of work, some six minutes each."""

UNLEARNT = range(1, ACTED_SHARDS, LEARNT_EVERY)
"""Those of them in which no line is that may be learnt from."""

SHARD_H = 0.1
"""Hours of sound in one piece of work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where talk or noise comes from. `kind`: people, made-up talk, music or tools; `who`: number of speakers, None
    where nobody counted them. `shards`: pieces of work that it is cut into, by their numbers."""

    name: str
    kind: str
    who: int | None
    shards: range = range(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What became of the talk of one shard: `taken`, obeyed or taken for an answer, which is then read back; `asked`:
    offered for a yes, asked to be said again, or a question answered. `hazardous`: how many of those taken would also
    have been in a step that can hurt someone: legal in one, and surer than is asked for there."""

    hours: float = 0.0
    taken: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    hazardous: int = 0

    def __add__(self, other: Made) -> Made:
        return Made(
            hours=self.hours + other.hours,
            taken=self.taken + other.taken,
            asked=self.asked + other.asked,
            hazardous=self.hazardous + other.hazardous,
        )


def false_accepts(bench: Bench) -> list[dict[str, Any]]:
    """A row for each source and way of listening: hours, what was taken, how often an hour and its upper bound.

    All of it streamed as a live session hears.
    """
    tasks = [
        (source, way, number)
        for source in sources(bench.setting)
        for way in WAYS
        for number in source.shards
        if bench.setting.wish.rows in f"{source.name} {way}"
    ]
    found: dict[tuple[Source, str], Made] = {}
    for (source, way, _), one in zip(tasks, bench.each(_made, tasks), strict=True):
        found[source, way] = found.get((source, way), Made()) + one
    rows = []
    for (source, way), all_made in found.items():
        hours, many = all_made.hours, len(all_made.taken)
        rows.append(
            {"source": source.name, "kind": source.kind, "who": source.who, "way": way, "hours": round(hours, 3)}
            | {"accepted": many, "hazardous": all_made.hazardous, "words": all_made.taken, "asked": all_made.asked}
            | {"per_hour": round(many / max(hours, 1e-9), 2)}
            | {"per_hour_upper_95": round(poisson_upper(many) / max(hours, 1e-9), 2)}
        )
        bench.tell(
            f"{source.name}, {way}: {many} taken in {hours:.2f} h, {all_made.hazardous} of them hazardous, "
            f"{len(all_made.asked)} asked about"
        )
    return rows


def sources(setting: Setting) -> list[Source]:
    """What is at hand on this machine."""
    found = []
    if setting.talk:
        found.append(Source(name="announcements", kind="people", who=1, shards=range(3)))
    if read_aloud():
        found.append(Source(name="read aloud", kind="people", who=1))
    if ACTED.is_file():
        found.append(Source(name="actors", kind="people", who=None, shards=UNLEARNT))
    speakers = len(setting.voices["held-out"])
    shards = range(max(1, round(setting.wish.hours / 2 / SHARD_H)))
    found += [
        Source(name=name, kind="made-up talk", who=speakers, shards=shards) for name in ("workshop talk", "radio talk")
    ]
    if music := len(list(recorded_music())):
        found.append(Source(name="music", kind="music", who=0, shards=range(music)))
    found += [Source(name=name, kind="tools", who=0) for name in ("fan", "impact", "bustle")]
    return found


def _made(setting: Setting, task: tuple[Source, str, int]) -> Made:
    """What became of one shard: in the step what a session makes of it, among all what the recogniser is sure of."""
    source, way, number = task
    step = step_of(setting, way, number)
    grammar = setting.everything if step is None else step.grammar
    sound = _sound(setting, source, number, way, grammar)
    if not len(sound):
        return Made()
    dangerous = [automaton_of(ask.grammar) for ask in setting.asks if ask.expected.hazardous]
    stream, made = Stream(setting.recogniser), Made(hours=len(sound) / SAMPLE_RATE_HZ / 3600)
    before = HeardBefore()
    for each in stream.all_heard(sound, Listening(grammar=grammar) if step is None else step.listening):
        heard = each if step is None else before.weigh(each)
        words = f"{heard.words or ''} ({heard.confidence:.2f}) / {heard.free_text or ''}"
        kind = _became(heard, None if step is None else step.expected)
        if kind != "answered":
            before.note(heard, taken=kind == "taken")
        if kind == "taken":
            legal = heard.confidence >= HAZARDOUS.act and (heard.words or "").split()
            hazardous = bool(legal and any(step.accepts(legal) for step in dangerous))
            made += Made(taken=(words,), hazardous=hazardous)
        elif kind != "nothing":
            made += Made(asked=(words,))
    return made


def step_of(setting: Setting, way: str, number: int) -> Ask | None:
    """The step in which this shard is heard; None among all that may be said anywhere."""
    if way == "step":
        return max(setting.asks, key=lambda ask: len(ask.answers) + len(ask.others))
    asking = [ask for ask in setting.asks if ask.expected.results]
    return asking[number % len(asking)] if way == "each step" else None


def _became(heard: Heard, expected: Expected | None) -> str:
    """What a session makes of it: taken, asked about, answered as a question or nothing; of everything at once what the
    recogniser is sure of."""
    if heard.words is None and (heard.free_text is None or expected is None):
        return "nothing"
    if expected is None:
        return "asked" if heard.unsure else "taken"
    if asked(heard, expected) is not None:
        return "answered"
    meant = understand(heard, expected)
    if not isinstance(meant, Unclear):
        return "taken"
    return "asked" if meant.offer is not None or meant.detail else "nothing"


def _sound(setting: Setting, source: Source, number: int, way: str, grammar: Grammar) -> Pcm:
    """The sound of one shard. Among all that may be said anywhere any number is a reading, so there a real person's
    numbers are left out; of the actors' lines, which hold many a "yes" and "no", each that is legal."""
    random = np.random.default_rng([setting.wish.seed, number])
    match source.name:
        case "announcements":
            people = setting.talk[number :: len(source.shards)]
            return spaced(people if way != "everything" else without_commands(setting, people, grammar), random)
        case "actors":
            return spaced(without_commands(setting, acted(slice(number, None, ACTED_SHARDS)), grammar), random)
        case "read aloud":
            return spaced(read_aloud(), random)
        case "workshop talk":
            texts = [step.say for procedure in setting.library.values() for step in procedure.steps if step.say]
            return _made_up(setting, sentences(texts), random)
        case "radio talk":
            return _made_up(setting, sentences(printed()), random)
        case "music":
            return list(recorded_music())[number]
    noise = NOISES[source.name](int(SHARD_H * 3600 * SAMPLE_RATE_HZ), random)
    loud = noise / np.sqrt((noise**2).mean()) * LEVEL * 32_768
    return np.asarray(loud.clip(-32_768, 32_767), np.int16)


def _made_up(setting: Setting, texts: Sequence[str], random: np.random.Generator) -> Pcm:
    return spaced(list(said(texts, setting.voices["held-out"], SHARD_H, random)), random)


def without_commands(setting: Setting, people: Sequence[Pcm], grammar: Grammar) -> list[Pcm]:
    """Of their talk, cut at its pauses, what holds no number and is not, as a whole, legal in the grammar.

    What is said nobody wrote down, so the network does, freely and in quiet: "press one for more" holds a reading,
    which it is right to hear. What is too long for it is left out too.
    """
    recogniser = setting.recogniser
    recogniser.expect(Listening(grammar=grammar, dictation=True))
    legal = automaton_of(grammar)
    numbers = {*DIGITS, *TEENS, *TENS}
    found = []
    for pcm in (piece for whole in people for piece in cut_at_pauses(whole)):
        text = recogniser.hear_take(pcm).free_text
        words = spoken_words(text or "")
        digits = any(character.isdigit() for character in text or "")
        if words and not digits and numbers.isdisjoint(words) and not legal.accepts(words):
            found.append(pcm)
    return found


def cut_at_pauses(pcm: Pcm) -> list[Pcm]:
    """The pieces between pauses of PAUSE_S or more; those shorter than half a second are left out."""
    frame = SAMPLE_RATE_HZ // 50
    loud = np.abs(pcm[: len(pcm) // frame * frame].astype(np.float64)).reshape(-1, frame).max(axis=1)
    speaking = np.flatnonzero(loud > 0.03 * loud.max(initial=1.0))
    pieces = np.split(speaking, np.flatnonzero(np.diff(speaking) > PAUSE_S * 50) + 1)
    cut = [pcm[each[0] * frame : (each[-1] + 1) * frame] for each in pieces if len(each)]
    return [piece for piece in cut if len(piece) > SAMPLE_RATE_HZ // 2]


def said(texts: Sequence[str], speakers: Sequence[Speaker], hours: float, random: np.random.Generator) -> Iterator[Pcm]:
    """So many hours of the texts by the speakers in turn."""
    left, number = hours * 3600 * SAMPLE_RATE_HZ, 0
    while left > 0:
        text = texts[int(random.integers(len(texts)))]
        pcm = speak(speakers[number % len(speakers)], text)
        number += 1
        left -= len(pcm)
        yield pcm


def sentences(texts: Sequence[str]) -> list[str]:
    """Each sentence of four words or more, plain letters only."""
    found = [part for text in texts for part in re.split(r"[.;:!?]\s|\n\n", " ".join(text.split()))]
    plain = [" ".join(re.findall(r"[A-Za-z']+", part)) for part in found]
    return sorted({text for text in plain if 4 <= len(text.split()) <= 25})


def printed(names: Sequence[str] = MODULES) -> list[str]:
    """English prose that every Python has: what these modules say of themselves."""
    modules = [importlib.import_module(name) for name in names]
    found = [inspect.getdoc(module) or "" for module in modules]
    for module in modules:
        found += [inspect.getdoc(each) or "" for _, each in inspect.getmembers(module) if callable(each)]
    return found


def spaced(pieces: Sequence[Pcm], random: np.random.Generator) -> Pcm:
    """The pieces at one level with pauses between them and a quiet room beneath: (frames,)."""
    parts: list[NDArray[np.float64]] = [np.zeros(0)]
    for piece in pieces:
        voice = piece.astype(np.float64)
        parts.append(voice / (np.sqrt((voice**2).mean()) + 1.0) * LEVEL * 32_768)
        parts.append(np.zeros(int(random.uniform(*GAP_S) * SAMPLE_RATE_HZ)))
    sound = np.concatenate(parts)
    sound += random.standard_normal(len(sound)) * 40
    return np.clip(sound, -32_768, 32_767).astype(np.int16)

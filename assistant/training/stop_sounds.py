"""Streams in which the words that stop us are said: what the ear for stop learns from and is measured on.

People's and made-up voices say them alone, close after other words and over each other, in shop noise, colleagues' talk
and over our own voice as the canceller leaves it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import numpy as np
from numpy.typing import NDArray

from assistant.bench.echo_rooms import any_room, speech_level
from assistant.bench.noises import NOISES, babble
from assistant.bench.recorded import Part, single_words
from assistant.bench.stop import cleaned_of
from assistant.bench.stream import core_of
from assistant.bench.voices import Speaker, available, speak, trimmed
from assistant.cranking import shop_noise
from assistant.hearing.stop_ear import WORDS
from assistant.ports import SAMPLE_RATE_HZ
from assistant.training.phone_sounds import NUMBER_WORDS, SHORT_WORDS, VARIANTS
from assistant.training.phone_throats import by_another_throat, by_telephone

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]

NEAR_WORDS = (
    "top", "shop", "step", "stock", "stuff", "start", "spot", "stub", "stab", "star", "steep",
    "store", "drop", "crop", "pop", "hop", "hot", "got", "lot", "not", "top up", "start up", "shut up", "still", "stay",
    "strap", "strip", "setup", "cause", "paws", "because", "was", "pass", "parts", "posts", "boss", "course", "force",
    "doors", "pores", "hoses", "hold", "old", "holding", "holed", "holding on", "whole", "home", "cold on", "sold it",
    "told it", "hope on", "phone", "on", "wow", "oh", "no", "go", "low", "so", "whole lot", "water", "wall", "war",
    "wore", "where", "away", "hello", "roller", "slow", "blow", "flow", "hole in", "old one", "hand on", "had it",
    "hit it", "got it", "leave it on", "switch it on", "all done", "hauled it", "the post",
)  # fmt: skip
"""Words and bits that sound like ours and are not."""

RECORDED_WORDS = ("yes", "no", "go", "on", "off", "up", "down", "left", "right", "unknown", "silence")
NOISE_KINDS = ("fan", "impact", "bustle", "babble", "wrench", "hum", "talk")
LEVELS_DBFS = (-20.0, -50.0)
SNRS_DB = (2.0, 4.0, 6.0, 9.0, 12.0, 15.0, 20.0, 30.0, 40.0)
SOUNDS_A_STREAM = 14
LEAD_S = 3.0
CORE_DB = 25.0
LOUD_DB = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One of WORDS by number, from 1 on; 0 for something else. `begins`, `ends`: samples of what surely is speech."""

    word: int
    begins: int
    ends: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Heap:
    """Sounds to draw from. `ours`: word -> sounds; by people or made up. `others`: other people's words; `talk`:
    sentences; `own`: what we say ourselves."""

    ours: dict[str, list[Pcm]] = field(default_factory=dict)
    made: dict[str, list[Pcm]] = field(default_factory=dict)
    others: list[Pcm] = field(default_factory=list)
    near: list[Pcm] = field(default_factory=list)
    talk: list[Pcm] = field(default_factory=list)
    own: list[Pcm] = field(default_factory=list)


def spoken(choice: Random, speakers: Sequence[Speaker], words: str) -> Pcm:
    """The words by one of the speakers, by another throat of eSpeak NG where it is that, at some pace."""
    one = choice.choice(list(speakers))
    throat = choice.choice(VARIANTS) if one.engine == "espeak" else ""
    return speak(Speaker(one.engine, one.voice + throat, choice.randint(125, 205)), words)


def recorded(people: Path, word: str, part: Part) -> list[Pcm]:
    """Recordings of a word that are for this purpose, cut to where they speak."""
    return [trimmed(take.pcm, LOUD_DB) for take in single_words(people, word, part)]


def heap_of(
    people: Path | None, speakers: Sequence[Speaker], own: Sequence[str], talk: Sequence[str], *, part: Part, made: int,
    seed: int,
) -> Heap:  # fmt: skip
    """Recordings of people for that purpose, and `made` words of each kind by the speakers; `talk`: what is said that
    is not for us, a word of ours in none of it."""
    choice, there = Random(seed), available(tuple(speakers))
    heap = Heap()
    if people is not None:
        heap.ours["stop"] = recorded(people, "stop", part)
        heap.others.extend(each for word in RECORDED_WORDS for each in recorded(people, word, part))
    for word in WORDS:
        heap.made[word] = [spoken(choice, there, word) for _ in range(made)]
    words = [*NEAR_WORDS, *NEAR_WORDS, *SHORT_WORDS, *NUMBER_WORDS]
    clear = [word for word in words if word not in WORDS]
    heap.near.extend(spoken(choice, there, choice.choice(clear)) for _ in range(3 * made))
    heap.talk.extend(spoken(choice, there, words) for words in choice.sample(talk, min(len(talk), 4 * made)))
    heap.own.extend(speak(Speaker("espeak", "en-us", choice.choice((145, 165, 185))), each) for each in own)
    return heap


def noise(kind: str, frames: int, random: np.random.Generator, talk: Sequence[Pcm]) -> Floats:
    """Of root mean square one."""
    seconds = frames / SAMPLE_RATE_HZ + 0.6
    if kind == "babble":
        sound = babble(frames, random, list(talk))
    elif kind in NOISES:
        sound = NOISES[kind](frames, random)
    else:
        make = {"wrench": shop_noise.impact_wrench, "hum": shop_noise.hum, "talk": shop_noise.talk}[kind]
        sound = make(seconds, random)[:frames]
    return np.asarray(sound / (np.sqrt((sound**2).mean()) + 1e-9), np.float64)


def stream(heap: Heap, random: np.random.Generator) -> tuple[Pcm, list[Mark]]:
    """One stream of one noise with sounds of all kinds in it, and where each lies."""
    choice = Random(int(random.integers(1 << 30)))
    sounds = [_sound(heap, choice, random) for _ in range(SOUNDS_A_STREAM)]
    at, begins = round(LEAD_S * SAMPLE_RATE_HZ), []
    for pcm, word in sounds:
        begins.append(at)
        close = not word and choice.random() < 0.6
        gap_s = choice.uniform(0.0, 0.25) if close else choice.uniform(0.35, 1.2)
        at += len(pcm) + round(gap_s * SAMPLE_RATE_HZ)
    frames = at + SAMPLE_RATE_HZ // 2
    level = 10 ** (choice.uniform(*reversed(LEVELS_DBFS)) / 20) * 32_768
    snr_db = choice.choice(SNRS_DB)
    under = noise(choice.choice(NOISE_KINDS), frames, random, heap.talk) * 10 ** (-snr_db / 20)
    whole = under.copy()
    marks = []
    for (pcm, word), begin in zip(sounds, begins, strict=True):
        voice = pcm.astype(np.float64)
        loud_db = choice.uniform(-3, 3) + (choice.uniform(6, 18) if word and choice.random() < 0.15 else 0.0)
        voice *= 10 ** (loud_db / 20) / (np.sqrt((voice**2).mean()) + 1e-9)
        whole[begin : begin + len(pcm)] += voice
        first, last = core_of(pcm, CORE_DB)
        marks.append(Mark(word=word, begins=begin + first, ends=begin + last))
    if heap.own and choice.random() < 0.25:
        return _over_our_voice(heap, whole, level, choice, random), marks
    return _clipped(whole * level), marks


def _over_our_voice(heap: Heap, whole: Floats, level: float, choice: Random, random: np.random.Generator) -> Pcm:
    """The same while we speak, as the canceller leaves it, in time with what went in."""
    played = np.zeros(len(whole), np.int16)
    at = SAMPLE_RATE_HZ
    while at < len(played):
        said = choice.choice(heap.own)[: len(played) - at]
        played[at : at + len(said)] = said * 0.64
        at += len(said) + round(choice.uniform(0.1, 0.5) * SAMPLE_RATE_HZ)
    if choice.random() < 0.7:
        echo = any_room(random).echo(played)
        whole = whole + echo * 10 ** (choice.uniform(-14, -3) / 20) / max(speech_level(echo), 1e-9)
    return cleaned_of(_clipped(whole * level), played)


def _sound(heap: Heap, choice: Random, random: np.random.Generator) -> tuple[Pcm, int]:
    """Something said, and which of WORDS it is."""
    kind = choice.random()
    if kind < 0.2 and heap.ours.get("stop"):
        pcm, word = choice.choice(heap.ours["stop"]), 1
    elif kind < 0.4:
        name = choice.choice((*WORDS, "stop"))
        pcm, word = choice.choice(heap.made[name]), WORDS.index(name) + 1
    else:
        others = heap.others if heap.others and kind < 0.5 else heap.near if kind < 0.65 else heap.talk
        pcm, word = choice.choice(others), 0
    if choice.random() < 0.6:
        pcm = by_another_throat(pcm, random)
    if choice.random() < 0.1:
        pcm = by_telephone(pcm)
    return pcm, word


def _clipped(sound: Floats) -> Pcm:
    return np.clip(sound, -32_768, 32_767).astype(np.int16)


def streams(heap: Heap, count: int, seed: int) -> Iterator[tuple[Pcm, list[Mark]]]:
    """So many streams; each follows from the seed and its number."""
    for number in range(count):
        yield stream(heap, np.random.default_rng([seed, number]))

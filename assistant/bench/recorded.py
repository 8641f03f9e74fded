"""Recorded people in a folder of their own: single words by many of them, digits by a few; half is never learnt from.

The folder holds `commands/WORD/*.flac` and `digits/DIGIT-SPEAKER-TAKE.flac`. Of each word every second recording by
name, from the first on, may be learnt from, and of these every fourth is for the trust alone; the others are for
measuring, and so are all the digits.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ

Pcm = NDArray[np.int16]

WORDS = ("yes", "no", "stop", "go", "on", "off", "up", "down", "left", "right")
OTHER_WORDS = "unknown"
"""The folder of words that nobody wrote down, none of WORDS."""


class Part(StrEnum):
    """What a recording is for."""

    PHONES = "phones"  # the phone layers learn from it
    TRUST = "trust"  # the weights of the trust are fitted on it
    MEASURE = "measure"  # never learnt from


LEARNT = (Part.PHONES, Part.TRUST)
"""What may be learnt from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """One recording. `speaker`: as its name tells. `pcm`: int16, mono, (frames,), 16 000 Hz."""

    word: str
    speaker: str
    pcm: Pcm


def single_words(people: Path, word: str, *parts: Part) -> list[Take]:
    """The recordings of a word for these purposes, by name; none where there are none."""
    every = sorted((people / "commands" / word).glob("*.flac"))
    paths = [path for place, path in enumerate(every) if _part(place) in parts]
    return [Take(word=word, speaker=path.stem.partition("_")[0], pcm=read_sound(path)) for path in paths]


def _part(place: int) -> Part:
    if place % 2:
        return Part.MEASURE
    return Part.TRUST if place % 8 == 6 else Part.PHONES


def digits(people: Path) -> Mapping[str, Mapping[int, list[Take]]]:
    """By speaker and digit the recordings of single digits, in the order of their names."""
    found: dict[str, dict[int, list[Take]]] = {}
    for path in sorted((people / "digits").glob("*-*-*.flac")):
        digit, speaker, _ = path.stem.split("-")
        take = Take(word=digit, speaker=speaker, pcm=read_sound(path))
        found.setdefault(speaker, {}).setdefault(int(digit), []).append(take)
    return found


def read_sound(path: Path) -> Pcm:
    """A mono recording of any rate, at 16 000 Hz."""
    sound, rate_hz = soundfile.read(path, dtype="float32")
    if rate_hz != SAMPLE_RATE_HZ:
        sound = soxr.resample(sound, rate_hz, SAMPLE_RATE_HZ)
    return np.asarray(np.clip(sound * 32768, -32768, 32767), np.int16)

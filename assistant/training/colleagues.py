"""Colleagues who talk in the background of what is learnt: made-up voices, and strings of people's single words.

Recordings under a share-alike licence are for measuring, so what the layers and weights that ship learn over is said by
nobody but these.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.bench.recorded import LEARNT, OTHER_WORDS, single_words
from assistant.bench.strangers import printed, sentences
from assistant.bench.voices import Speaker, speak, trimmed
from assistant.ports import SAMPLE_RATE_HZ

Pcm = NDArray[np.int16]

MODULES = ("asyncio", "calendar", "csv", "fractions", "shutil", "socket", "sqlite3", "textwrap", "unittest", "zipfile")
"""What they say is prose of other modules than that of the strangers who are measured with."""

SENTENCES, STRINGS = 60, 30
WORDS_A_STRING = (5, 11)
GAPS_S = (0.03, 0.25)
LOUD_DB = 30.0
"""What is further below the loudest moment of a recorded word is cut off at its ends."""

LEVEL = 3_000.0
"""Root mean square of each word of a string: recordings of many people are of many levels."""


def colleagues(speakers: Sequence[Speaker], people: Path | None, random: np.random.Generator) -> list[Pcm]:
    """Sentences by the speakers in turn and, where `people` is a folder as `bench.recorded` has it, strings of words
    that may be learnt from, each by many people: int16, mono, (frames,), 16 000 Hz."""
    texts = sentences(printed(MODULES))
    drawn = random.choice(len(texts), min(SENTENCES, len(texts)), replace=False)
    talk = [speak(speakers[number % len(speakers)], texts[int(place)]) for number, place in enumerate(drawn)]
    words = [take.pcm for take in single_words(people, OTHER_WORDS, *LEARNT)] if people is not None else []
    return talk + ([_string(words, random) for _ in range(STRINGS)] if words else [])


def _string(words: Sequence[Pcm], random: np.random.Generator) -> Pcm:
    parts: list[NDArray[np.float64]] = []
    for _ in range(int(random.integers(*WORDS_A_STRING))):
        voice = trimmed(words[int(random.integers(len(words)))], LOUD_DB).astype(np.float64)
        parts.append(voice * (LEVEL / (np.sqrt((voice**2).mean()) + 1.0)))
        parts.append(np.zeros(int(random.uniform(*GAPS_S) * SAMPLE_RATE_HZ)))
    return np.asarray(np.clip(np.concatenate(parts), -32_000, 32_000), np.int16)

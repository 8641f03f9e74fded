"""Things said into one stream of shop noise and heard as a live session hears: canceller, gate, end of speech and all.

Every figure of hearing is measured this way. The stream goes on from one thing said to the next as a microphone does,
so what a detector makes of minutes of noise is in the figures too; each thing said is judged on its own stretch.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.bench.noises import NOISES, babble, mixed
from assistant.language.model import Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening, Recogniser

Pcm = NDArray[np.int16]

BLOCK = 320
"""20 ms, as a microphone gives it."""

LEAD_FRAMES = SAMPLE_RATE_HZ
"""Noise alone before each thing said: a second."""

TAIL_FRAMES = SAMPLE_RATE_HZ * 6 // 5
"""Noise alone after it, in which the answer has to come: 1.2 s."""

STRUNG_LEAD_FRAMES = 4 * SAMPLE_RATE_HZ
STRUNG_GAP_S = (1.4, 2.4)
"""Where many sounds are strung: noise before the first, and seconds between two."""

SPEECH_DBFS = -26.0
"""Level of a voice near the microphone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A piece of the stream in which one thing is said: `pcm` int16, mono, (frames,), 16 000 Hz; speech from frame
    `begins` up to `ends`."""

    pcm: Pcm
    begins: int
    ends: int


def in_noise(
    speech: Pcm,
    snr_db: float,
    kind: str,
    random: np.random.Generator,
    talk: Sequence[Pcm],
    *,
    level_db: float = SPEECH_DBFS,
) -> Stretch:
    """The speech at its level with noise of that kind before, under and after it."""
    frames = LEAD_FRAMES + len(speech) + TAIL_FRAMES
    noise = babble(frames, random, list(talk)) if kind == "babble" else NOISES[kind](frames, random)
    pcm = mixed(speech, noise, snr_db, lead=LEAD_FRAMES, tail=TAIL_FRAMES, level_db=level_db)
    return Stretch(pcm=pcm, begins=LEAD_FRAMES, ends=LEAD_FRAMES + len(speech))


def strung(
    sounds: Sequence[Pcm],
    snr_db: float,
    kind: str,
    random: np.random.Generator,
    talk: Sequence[Pcm],
    *,
    level_db: float,
) -> tuple[Pcm, list[tuple[int, int]]]:
    """One stream of steady noise with the sounds in it, and where each begins and ends: samples.

    The noise stays as loud as it is, `snr_db` below `level_db`; each sound is as loud as makes its power so far over
    that of the noise in the same samples.
    """
    begins, at = [], STRUNG_LEAD_FRAMES
    for sound in sounds:
        begins.append(at)
        at += len(sound) + int(random.uniform(*STRUNG_GAP_S) * SAMPLE_RATE_HZ)
    at += TAIL_FRAMES
    noise = babble(at, random, list(talk)) if kind == "babble" else NOISES[kind](at, random)
    noise *= 32_768 * 10 ** ((level_db - snr_db) / 20) / np.sqrt((noise**2).mean())
    whole = noise.copy()
    for sound, begin in zip(sounds, begins, strict=True):
        under = noise[begin : begin + len(sound)]
        voice = sound.astype(np.float64)
        voice *= math.sqrt((under**2).mean() / ((voice**2).mean() + 1e-9)) * 10 ** (snr_db / 20)
        whole[begin : begin + len(sound)] += voice
    whole *= min(1.0, 32_000 / np.abs(whole).max())
    spans = [(begin, begin + len(sound)) for sound, begin in zip(sounds, begins, strict=True)]
    return whole.astype(np.int16), spans


def core_of(sound: Pcm, below_peak_db: float = 20.0) -> tuple[int, int]:
    """First and last sample of what is surely speech in it: samples within so much of its peak (10 ms frames)."""
    frames = len(sound) // 160
    level = np.sqrt((sound[: frames * 160].reshape(frames, 160).astype(np.float64) ** 2).mean(axis=1))
    loud = np.flatnonzero(level > level.max(initial=0.0) * 10 ** (-below_peak_db / 20))
    return (int(loud[0]) * 160, int(loud[-1] + 1) * 160) if len(loud) else (0, len(sound))


class Stream:
    """A microphone that never stops, and what is heard in it. The recogniser begins it anew."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._at = 0
        recogniser.finish()

    @property
    def at_s(self) -> float:
        """Seconds of the stream so far."""
        return self._at / SAMPLE_RATE_HZ

    def all_heard(self, pcm: Pcm, listening: Listening) -> Iterator[Heard]:
        """Each thing heard in the next piece of the stream, as it comes; its seconds count within the piece."""
        self._recogniser.expect(listening)
        began, self._at = self._at, self._at + len(pcm)
        for at in range(0, len(pcm), BLOCK):
            start_s = (began + at) / SAMPLE_RATE_HZ
            heard = self._recogniser.accept(AudioBlock(pcm=pcm[at : at + BLOCK], start_s=start_s))
            if heard is not None:
                yield shifted(heard, -began / SAMPLE_RATE_HZ)

    def heard(self, stretch: Stretch, listening: Listening) -> Heard:
        """What a session would have gone by in this stretch: the first thing heard with words, wherever it began; words
        that noise alone was taken for count like any other. No words where there was none."""
        found = list(self.all_heard(stretch.pcm, listening))
        worded = [heard for heard in found if heard.words is not None]
        return next(iter(worded or found), Heard(words=None, confidence=0.0))


def shifted(heard: Heard, by_s: float) -> Heard:
    """The same, so many seconds later."""
    return replace(heard, began_s=heard.began_s + by_s, ended_s=heard.ended_s + by_s)

"""Made-up rooms between speaker and microphone: a speaker that bends and has no bass, echoes, a delay, a clock a little
off."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import scipy.signal
import soxr
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """`reverberation_s`: time in which sound falls by 60 dB. `delay_s`: by which what we play leads its echo.
    `bends`: how hard the speaker is driven. `clock_ppm`: by which the microphone's clock is off the speaker's."""

    reverberation_s: float
    delay_s: float
    bends: float
    clock_ppm: float
    seed: int

    def echo(self, played: Pcm) -> Floats:
        """What comes back of it: (frames,), of any level."""
        random = np.random.default_rng(self.seed)
        sound = np.tanh(played / 32_768.0 * self.bends) / self.bends
        sound = scipy.signal.fftconvolve(sound, self._way(random))[: len(sound)]
        sound = np.concatenate([np.zeros(round(self.delay_s * SAMPLE_RATE_HZ)), sound])[: len(played)]
        moved = soxr.resample(sound, 1e6, 1e6 + self.clock_ppm) if self.clock_ppm else sound
        return np.asarray(np.pad(moved, (0, max(0, len(played) - len(moved))))[: len(played)], np.float64)

    def _way(self, random: np.random.Generator) -> Floats:
        frames = int(SAMPLE_RATE_HZ * self.reverberation_s)
        tail = random.standard_normal(frames) * 10 ** (-3 * np.arange(frames) / frames)
        tail[:30] = 0.0
        tail *= 10 ** (random.uniform(-9, -3) / 20) / math.sqrt(float((tail**2).sum()))
        tail[0] = 1.0
        edges = [random.uniform(150, 350), random.uniform(5_000, 7_500)]
        small = scipy.signal.butter(2, edges, "bandpass", fs=SAMPLE_RATE_HZ, output="sos")
        return np.asarray(scipy.signal.sosfilt(small, tail), np.float64)


def any_room(random: np.random.Generator) -> Room:
    """Reverberation of 0.15 to 0.6 s, 5 to 80 ms of delay, up to 30 millionths off the clock."""
    return Room(
        reverberation_s=random.uniform(0.15, 0.6),
        delay_s=random.uniform(0.005, 0.08),
        bends=random.uniform(0.5, 2.0),
        clock_ppm=random.uniform(-30, 30),
        seed=int(random.integers(1 << 30)),
    )


def speech_level(sound: Floats) -> float:
    """Root mean square where it speaks: frames of 20 ms within 40 dB of the loudest."""
    power = (sound[: len(sound) // 320 * 320].reshape(-1, 320) ** 2).mean(axis=1)
    return math.sqrt(float(power[power >= power.max() * 1e-4].mean())) if power.any() else 0.0

"""The sound that the network is given: rumble taken off, level set, silence cut."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Pcm = NDArray[np.int16]
Floats = NDArray[np.float32]

RATE_HZ = 16_000
FRAME = 512
HIGH_PASS_HZ = 80.0
LEVEL = 0.08
"""Root mean square that the sound is set to, of full scale: as loud as the network's own training speech (measured on
the recordings in its wheel: 0.05 to 0.09)."""

MARGIN_S = 0.25
"""Sound kept before and after what the detector takes for speech: soft beginnings and ends."""

SHORTEST = 6400
"""The network is given at least this many samples; shorter sound is followed by silence."""


def cleaned(pcm: Pcm) -> Floats:
    """`pcm`: int16, mono, (frames,), 16 000 Hz -> float32, -1 to 1, at a steady level without rumble."""
    sound = without_rumble(pcm.astype(np.float64) / 32768)
    level = float(np.sqrt((sound**2).mean())) if len(sound) else 0.0
    sound = sound * min(LEVEL / max(level, 1e-5), 30.0)
    sound = np.clip(sound, -1.0, 1.0)
    if len(sound) < SHORTEST:
        sound = np.concatenate([sound, np.zeros(SHORTEST - len(sound))])
    return np.asarray(sound, np.float32)


def without_rumble(sound: NDArray[np.float64]) -> NDArray[np.float64]:
    """The whole sound through a high-pass: the gain of a Butterworth filter of second order, and no delay.

    By numpy alone: loading scipy.signal for it takes a second and 70 MB.
    """
    if not len(sound):
        return sound
    hz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    gain = hz**2 / np.sqrt(hz**4 + HIGH_PASS_HZ**4)
    return np.fft.irfft(np.fft.rfft(sound) * gain, len(sound))


def speech_span(pcm: Pcm, probabilities: Sequence[float], threshold: float = 0.3) -> tuple[int, int] | None:
    """First and last sample worth writing down in a whole recording, or None when it holds no sound at all.

    `probabilities`: of speech, one a frame of 512 samples. Where the detector finds none the whole is kept.
    """
    if len(pcm) == 0 or not np.any(pcm):
        return None
    loud = [index for index, chance in enumerate(probabilities) if chance >= threshold]
    if not loud:
        return 0, len(pcm)
    margin = int(MARGIN_S * RATE_HZ)
    return max(0, loud[0] * FRAME - margin), min(len(pcm), (loud[-1] + 1) * FRAME + margin)


def habit_noise() -> Floats:
    """Half a second of quiet white noise, always the same: what the network's habits are measured over."""
    random = np.random.default_rng(1)
    return np.asarray(0.01 * random.standard_normal(8000), np.float32)

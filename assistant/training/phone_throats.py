"""Few voices become many: the same speech as of other throats, in other rooms, by other microphones and telephones."""

from __future__ import annotations

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.bench.voices import trimmed
from assistant.ports import SAMPLE_RATE_HZ

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]

NARROW = 0.15
"""Share that went through a telephone: 8 000 samples a second, nothing above 4 kHz."""

NARROW_HZ = 8_000


def by_another_throat(pcm: Pcm, random: np.random.Generator) -> Pcm:
    """The speech as of someone smaller or larger, in another room and by another microphone.

    Pitch and resonances move together by up to 17 %, as the rate does; then a tilt of up to 5 dB an octave about
    1 kHz, for some a small speaker's band, for some the echo of a room.
    """
    sound = pcm.astype(np.float64)
    if random.random() < 0.7:
        sound = soxr.resample(sound, 16_000, round(16_000 * np.exp(random.uniform(-0.16, 0.13))))
    if random.random() < 0.25:
        sound = _in_a_room(sound, random)
    spectrum = np.fft.rfft(sound)
    hz = np.fft.rfftfreq(len(sound), 1 / SAMPLE_RATE_HZ)
    gain = (np.maximum(hz, 100.0) / 1000) ** (random.uniform(-5, 5) / 6.02)
    if random.random() < 0.15:
        gain /= np.sqrt(1 + (hz / random.uniform(3_000, 6_000)) ** 8)
        gain /= np.sqrt(1 + (random.uniform(100, 350) / np.maximum(hz, 1.0)) ** 4)
    return trimmed(_whole(np.fft.irfft(spectrum * gain, len(sound))))


def by_telephone(pcm: Pcm) -> Pcm:
    """The speech after it was sampled 8 000 times a second."""
    narrow = soxr.resample(pcm.astype(np.float64), SAMPLE_RATE_HZ, NARROW_HZ)
    return _whole(soxr.resample(narrow, NARROW_HZ, SAMPLE_RATE_HZ))


def _in_a_room(sound: Floats, random: np.random.Generator) -> Floats:
    frames = int(random.uniform(0.05, 0.25) * SAMPLE_RATE_HZ)
    echo = random.standard_normal(frames) * np.exp(-5 * np.arange(frames) / frames)
    room = np.concatenate([[1.0], random.uniform(0.2, 0.8) * echo / np.sqrt((echo**2).sum())])
    length = len(sound) + frames
    return np.fft.irfft(np.fft.rfft(sound, length) * np.fft.rfft(room, length), length)


def _whole(sound: Floats) -> Pcm:
    loudest = float(np.abs(sound).max(initial=1.0))
    return np.asarray(sound * min(1.0, 32_000 / loudest), np.int16)

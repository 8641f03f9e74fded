"""Shop noises made on the spot, and mixing at a set signal-to-noise ratio."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ

Floats = NDArray[np.float64]
Pcm = NDArray[np.int16]


def _coloured(frames: int, random: np.random.Generator, slope: float) -> Floats:
    """Noise whose power falls with frequency to the power `slope`."""
    spectrum = np.fft.rfft(random.standard_normal(frames))
    hz = np.maximum(np.fft.rfftfreq(frames, 1 / SAMPLE_RATE_HZ), 20.0)
    shaped = np.fft.irfft(spectrum * hz ** (-slope / 2), frames)
    return np.asarray(shaped / (np.sqrt((shaped**2).mean()) + 1e-12), np.float64)


def fan(frames: int, random: np.random.Generator) -> Floats:
    """A steady fan or compressor: falling noise and the hum of a motor with its harmonics."""
    seconds = np.arange(frames) / SAMPLE_RATE_HZ
    turn_hz = random.uniform(22, 30)
    hum = sum(
        np.sin(2 * np.pi * turn_hz * harmonic * seconds + random.uniform(0, 6.28)) / harmonic**0.7
        for harmonic in range(1, 16)
    )
    return _coloured(frames, random, 1.2) + 0.35 * np.asarray(hum)


def impact(frames: int, random: np.random.Generator) -> Floats:
    """Impact tools: a rattle of 15 to 25 blows a second in bursts, each blow a ringing click; air hiss beneath."""
    sound = 0.15 * _coloured(frames, random, 0.0)
    at = int(random.uniform(0, 0.2) * SAMPLE_RATE_HZ)
    while at < frames:
        blows_hz = random.uniform(15, 25)
        for blow in range(int(random.uniform(0.4, 1.2) * blows_hz)):
            start = at + int((blow + random.uniform(-0.08, 0.08)) * SAMPLE_RATE_HZ / blows_hz)
            length = min(1200, frames - start)
            if start >= 0 and length > 0:
                tail = np.exp(-np.arange(length) / random.uniform(100, 260))
                ring = np.sin(2 * np.pi * random.uniform(900, 4200) / SAMPLE_RATE_HZ * np.arange(length))
                sound[start : start + length] += (ring + 0.8 * random.standard_normal(length)) * tail
        at += int(random.uniform(0.8, 1.8) * SAMPLE_RATE_HZ)
    return sound


def bustle(frames: int, random: np.random.Generator) -> Floats:
    """Workshop bustle: room noise that swells, dropped tools and clatter, a door."""
    seconds = np.arange(frames) / SAMPLE_RATE_HZ
    swell = 1 + 0.5 * np.sin(2 * np.pi * random.uniform(0.2, 0.6) * seconds + random.uniform(0, 6.28))
    sound = _coloured(frames, random, 0.9) * swell
    for _ in range(max(1, int(frames / SAMPLE_RATE_HZ * 2.2))):
        start = int(random.uniform(0, frames))
        length = min(int(random.uniform(0.03, 0.25) * SAMPLE_RATE_HZ), frames - start)
        tail = np.exp(-np.arange(length) / (0.2 * length + 1))
        partials = sum(
            np.sin(2 * np.pi * hz / SAMPLE_RATE_HZ * np.arange(length)) for hz in random.uniform(700, 6000, 4)
        )
        sound[start : start + length] += np.asarray(partials) * tail * random.uniform(0.5, 2.5)
    return sound


def babble(frames: int, random: np.random.Generator, talk: Sequence[Pcm] | None = None) -> Floats:
    """Talk or radio: one to three strangers speaking, from `talk`; without it, speech-shaped noise that pulses."""
    if not talk:
        seconds = np.arange(frames) / SAMPLE_RATE_HZ
        pulse = np.abs(np.sin(2 * np.pi * random.uniform(1.5, 2.5) * seconds)) + 0.2
        return _coloured(frames, random, 1.6) * pulse
    sound = np.zeros(frames)
    for _ in range(int(random.integers(1, 4))):
        voice = np.concatenate([talk[int(random.integers(len(talk)))].astype(np.float64) for _ in range(4)])
        while len(voice) < frames + 1:
            voice = np.concatenate([voice, voice])
        start = int(random.integers(len(voice) - frames))
        piece = voice[start : start + frames]
        sound += piece / (np.sqrt((piece**2).mean()) + 1.0)
    return sound


Noise = Callable[[int, np.random.Generator], Floats]

NOISES: Mapping[str, Noise] = MappingProxyType({"fan": fan, "impact": impact, "bustle": bustle, "babble": babble})
"""Each makes (frames,) of sound of any level."""


def mixed(speech: Pcm, noise: Floats, snr_db: float, *, lead: int, tail: int, level_db: float = -26.0) -> Pcm:
    """Speech in noise: `lead` and `tail` frames of noise alone around it. int16, mono, 16 000 Hz.

    The ratio is the mean power of the speech over the mean power of the noise in the same samples, 0 to 8 kHz.
    `level_db`: power of the speech, relative to full scale. `noise`: at least lead + speech + tail frames.
    """
    whole = lead + len(speech) + tail
    noise = noise[:whole]
    under = noise[lead : lead + len(speech)]
    voice = speech.astype(np.float64)
    voice *= 32768 * 10 ** (level_db / 20) / (np.sqrt((voice**2).mean()) + 1e-9)
    gain = np.sqrt((voice**2).mean() / ((under**2).mean() + 1e-12) / 10 ** (snr_db / 10))
    sound = noise * gain
    sound[lead : lead + len(speech)] += voice
    peak = np.abs(sound).max()
    if peak > 32000:
        sound *= 32000 / peak
    return np.asarray(sound, np.int16)

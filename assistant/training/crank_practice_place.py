"""Where a scene to learn from is recorded and by what: hood, cabin, a distance, telephones that level and gate."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import fft, signal

from assistant.cranking import shop_noise
from assistant.cranking.synthetic import RATE_HZ, Sound, clunk

_GRAIN = 80  # frames over which a telephone's levelling looks: 5 ms


def near(sound: Sound, bursts: Sequence[tuple[int, int]], rng: np.random.Generator) -> None:
    """Adds what people do right before and after they turn the key: a word, a door, a chime, steps on gravel.

    `sound`: (frames,), power of the starter 1; changed in place. `bursts`: first and last frame of each.
    """
    for first, stop in bursts:
        if rng.random() < 0.25:
            length = int(rng.uniform(0.3, 2.5) * RATE_HZ)
            _lay(sound, _some(length, rng), first - length - int(rng.uniform(0, 0.8) * RATE_HZ), rng)
        if rng.random() < 0.2:
            _lay(sound, _some(int(rng.uniform(0.3, 2.5) * RATE_HZ), rng), stop + int(rng.uniform(0, 1) * RATE_HZ), rng)
        if rng.random() < 0.15:  # the warning that stops while the starter has the battery to itself
            before = chime(first, rng)
            sound[:first] += before * 10 ** (rng.uniform(-25, 0) / 20)


def _some(frames: int, rng: np.random.Generator) -> Sound:
    kind = rng.random()
    if kind < 0.55:
        return shop_noise.talk(frames / RATE_HZ + 0.01, rng)[:frames]
    if kind < 0.8:
        return steps(frames, rng)
    hit = np.zeros(max(frames, int(0.2 * RATE_HZ)))
    one = clunk(rng) * rng.uniform(0.5, 3)
    hit[: len(one)] += one[: len(hit)]
    return hit[:frames]


def _lay(sound: Sound, piece: Sound, at: int, rng: np.random.Generator) -> None:
    piece = piece[max(0, -at) :] * 10 ** (rng.uniform(-18, 8) / 20)
    at = max(0, at)
    piece = piece[: max(0, len(sound) - at)]
    sound[at : at + len(piece)] += piece


def chime(frames: int, rng: np.random.Generator) -> Sound:
    """A door or belt warning: a tone struck again and again, once to five times a second."""
    time = np.arange(frames) / RATE_HZ
    hz, rate = rng.uniform(400, 2800), rng.uniform(0.8, 5)
    part = ((time + rng.uniform(0, 1)) * rate) % 1 / rate
    tone = sum(np.sin(2 * np.pi * hz * k * time) / k**2 for k in (1, rng.uniform(1.9, 3.1)))
    struck = np.exp(-part / rng.uniform(0.05, 0.6)) if rng.random() < 0.6 else (part * rate < rng.uniform(0.2, 0.7))
    return np.asarray(tone * struck, dtype=np.float64)


def steps(frames: int, rng: np.random.Generator) -> Sound:
    """Steps on gravel, or a car that rolls on it: grains, in strokes or without end."""
    grains = rng.standard_normal(frames) * (rng.random(frames) < rng.uniform(0.002, 0.05))
    low_hz = rng.uniform(300, 2000)
    crunch = signal.sosfilt(
        signal.butter(2, [low_hz, rng.uniform(3000, 7500)], "bandpass", fs=RATE_HZ, output="sos"), grains
    )
    time = np.arange(frames) / RATE_HZ
    if rng.random() < 0.7:
        crunch = crunch * np.exp(-((time * rng.uniform(1.4, 2.4)) % 1) * rng.uniform(2, 8))
    return np.asarray(crunch / (np.sqrt(np.mean(crunch**2)) + 1e-9), dtype=np.float64)


def recorded(sound: Sound, rng: np.random.Generator) -> NDArray[np.int16]:
    """By any microphone anywhere: int16, (frames,), 16 000 Hz."""
    sound = _placed(sound, rng)
    if rng.random() < 0.2:
        sound = signal.sosfilt(signal.butter(3, [300, 3400], "bandpass", fs=RATE_HZ, output="sos"), sound)
    hz = np.maximum(np.fft.rfftfreq(len(sound), 1 / RATE_HZ), 50)
    colour_db = np.interp(np.log(hz), np.log([50, 200, 800, 3000, 8000]), rng.uniform(-10, 10, 5))
    sound = fft.irfft(fft.rfft(sound) * 10 ** (colour_db / 20), len(sound))
    if rng.random() < 0.25:
        sound = np.tanh(sound / np.sqrt(np.mean(sound**2)) / rng.uniform(0.5, 4))
    if rng.random() < 0.3:
        sound = _telephone(sound, rng)
    if rng.random() < 0.4:  # a plain recorder: no band limits of a telephone, no levelling
        sound = sound / (np.quantile(np.abs(sound), 0.999) + 1e-12) * 10 ** (rng.uniform(-24, 2) / 20)
        coarse = 256.0 if rng.random() < 0.15 else 1.0  # old sound files have 8 bits
        sound = np.round(sound * 32767 / coarse) * coarse
        return np.asarray(np.clip(sound, -32768, 32767), dtype=np.int16)
    return shop_noise.microphone(sound, rng)


def _placed(sound: Sound, rng: np.random.Generator) -> Sound:
    kind = rng.random()
    if kind < 0.15:  # in the cabin: dull, and it booms
        low = signal.butter(int(rng.integers(1, 3)), rng.uniform(300, 1800), fs=RATE_HZ, output="sos")
        boom = signal.lfilter(*signal.iirpeak(rng.uniform(50, 160), rng.uniform(1, 5), fs=RATE_HZ), sound)
        return np.asarray(signal.sosfilt(low, sound) + rng.uniform(0, 1) * boom)
    if kind < 0.3:  # far away, in a yard or a hall
        fall_s = rng.uniform(0.2, 1.5)
        time = np.arange(int(fall_s * RATE_HZ)) / RATE_HZ
        echo = rng.standard_normal(len(time)) * 10 ** (-3 * time / fall_s)
        echo *= rng.uniform(0.6, 2.5) / np.sqrt(np.sum(echo**2))
        echo[0] += 1.0
        return np.asarray(signal.oaconvolve(sound, echo)[: len(sound)])
    return sound


def _telephone(sound: Sound, rng: np.random.Generator) -> Sound:
    """Quick to turn down, slow to turn up again, and what is steady and soft is gated away."""
    grains = np.abs(np.resize(sound, -(-len(sound) // _GRAIN) * _GRAIN)).reshape(-1, _GRAIN)
    loud = np.sqrt(np.mean(grains**2, axis=1)) + 1e-6
    quick, slow = (1 - np.exp(-0.005 / rng.uniform(*span)) for span in ((0.005, 0.1), (0.2, 3)))
    followed, at = np.empty(len(loud)), float(loud[:40].mean())
    for n, one in enumerate(loud.tolist()):
        at += (quick if one > at else slow) * (one - at)
        followed[n] = at
    gain = (followed / followed.max() + rng.uniform(0.01, 0.2)) ** -rng.uniform(0.3, 0.9)
    if rng.random() < 0.4:
        floor = np.quantile(loud, rng.uniform(0.05, 0.25)) * rng.uniform(1, 2.5)
        gate = np.clip((loud / floor - 1) / 1.5, rng.uniform(0.1, 0.6), 1)
        gain = gain * signal.lfilter([0.3], [1, -0.7], gate)
    at_frame = (np.arange(len(loud)) + 0.5) * _GRAIN
    return np.asarray(sound * np.interp(np.arange(len(sound)), at_frame, gain), dtype=np.float64)

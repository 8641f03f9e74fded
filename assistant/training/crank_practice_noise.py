"""Noise to learn from: what a shop may hold besides a starter, by wide formulas, and recordings where at hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray
from scipy import fft, signal

from assistant.cranking import shop_noise
from assistant.cranking.synthetic import RATE_HZ, Sound, free_whine
from assistant.training.crank_practice_place import chime, steps

Noise = Callable[[int, np.random.Generator], Sound]
"""Makes (frames,) of sound of any level."""


def unit(sound: Sound) -> Sound:
    """The sound with power 1."""
    return np.asarray(sound / (np.sqrt(np.mean(sound**2)) + 1e-12), dtype=np.float64)


def band(sound: Sound, low_hz: float, high_hz: float) -> Sound:
    """What lies between two frequencies."""
    low = max(20.0, low_hz)
    edges = [low, min(7900.0, max(high_hz, low * 1.15))]
    return np.asarray(signal.sosfilt(signal.butter(2, edges, "bandpass", fs=RATE_HZ, output="sos"), sound))


def jittered(phase: Sound, spread: float, rng: np.random.Generator) -> Sound:
    """A rising phase whose whole turns come a little early or late."""
    marks = np.arange(int(np.floor(phase[0])), int(np.ceil(phase[-1])) + 2, dtype=float)
    return np.interp(phase, marks, marks + rng.normal(0, spread, len(marks)))


def swell(phase: Sound, strength: Sound, rng: np.random.Generator) -> Sound:
    """Loudness along pulses of one drawn shape and depth, mean about 1; `strength` of each pulse in turn."""
    which = np.floor(phase).astype(int)
    part, kind = phase - which, rng.integers(3)
    if kind == 0:
        shape = np.sin(np.pi * part) ** (2 * rng.uniform(0.5, 4))
    elif kind == 1:
        shape = np.exp(-part * rng.uniform(1.5, 9))
    else:
        peak = rng.uniform(0.2, 0.8)
        shape = np.where(part < peak, part / peak, (1 - part) / (1 - peak)) ** rng.uniform(0.7, 2.5)
    shape = shape * strength[which % len(strength)]
    shape /= shape.mean() + 1e-9
    if rng.random() < 0.25:
        shape = np.maximum(2 - shape, 0.02)
    depth = rng.uniform(0.15, 1.0)
    return np.asarray(np.maximum(1 - depth + depth * shape, 0.0), dtype=np.float64)


def source(turns: Sound, rng: np.random.Generator, tonal: float) -> Sound:
    """A tone at an order of the turns, with chance `tonal`, else noise in a band; power 1."""
    frames = len(turns)
    if rng.random() < tonal:
        order, tone = np.exp(rng.uniform(np.log(60), np.log(700))), np.zeros(frames)
        hz = np.gradient(turns).max() * RATE_HZ * order
        for k in range(1, int(rng.integers(1, 7)) + 1):
            if k * hz < 7800:
                wave = np.sin(2 * np.pi * order * k * turns + rng.uniform(0, 6.28))
                tone += rng.uniform(0.1, 1) / k ** rng.uniform(0, 1.5) * wave
        if tone.any():
            return unit(tone)
    low_hz = np.exp(rng.uniform(np.log(40), np.log(4000)))
    return unit(band(rng.standard_normal(frames), low_hz, low_hz * np.exp(rng.uniform(np.log(1.3), np.log(12)))))


def coloured(frames: int, rng: np.random.Generator) -> Sound:
    """Noise that falls, or rises a little, with frequency; power 1."""
    size = fft.next_fast_len(frames, real=True)
    slope = np.maximum(np.fft.rfftfreq(size, 1 / RATE_HZ), 20) ** (-rng.uniform(-0.3, 2) / 2)
    return unit(fft.irfft(fft.rfft(rng.standard_normal(size)) * slope, size)[:frames])


def steady(frames: int, rng: np.random.Generator) -> Sound:
    """Fans, motors, a swell that comes and goes."""
    sound, time = coloured(frames, rng), np.arange(frames) / RATE_HZ
    if rng.random() < 0.6:
        hz, fall = rng.uniform(15, 160), rng.uniform(0.3, 1.5)
        hum = sum(np.sin(2 * np.pi * hz * k * time) / k**fall for k in range(1, int(rng.integers(3, 18))))
        sound = sound + rng.uniform(0.1, 2) * unit(np.asarray(hum))
    if rng.random() < 0.4:
        sound = sound * (1 + rng.uniform(0.1, 0.7) * np.sin(2 * np.pi * rng.uniform(0.1, 1) * time))
    return sound


def throb(frames: int, rng: np.random.Generator) -> Sound:
    """What swells and fades evenly all the time: pumps, presses, machines."""
    time = np.arange(frames) / RATE_HZ
    hz = np.exp(rng.uniform(np.log(0.6), np.log(40)))
    drift = 1 + rng.uniform(0, 0.03) * np.sin(2 * np.pi * rng.uniform(0.05, 1) * time)
    phase = jittered(np.cumsum(hz * drift) / RATE_HZ, float(rng.choice([0.001, 0.02, 0.08])), rng)
    strength = np.ones(1) if rng.random() < 0.5 else rng.uniform(0.2, 1, int(rng.integers(2, 9)))
    sound = 0.1 * coloured(frames, rng)
    for _ in range(int(rng.integers(1, 4))):
        sound = sound + rng.uniform(0.3, 1) * source(time, rng, 0.3) * swell(phase, strength, rng)
    return sound


def hits(frames: int, rng: np.random.Generator) -> Sound:
    """Dropped tools, doors, clatter."""
    sound = rng.uniform(0.02, 0.6) * coloured(frames, rng)
    for _ in range(int(frames / RATE_HZ * rng.uniform(0.3, 6))):
        at = int(rng.uniform(0, frames))
        step = np.arange(min(int(rng.uniform(0.03, 0.4) * RATE_HZ), frames - at))
        ring = rng.uniform(0, 2) * rng.standard_normal(len(step))
        for hz in rng.uniform(150, 6500, int(rng.integers(1, 6))):
            ring += np.sin(2 * np.pi * hz / RATE_HZ * step)
        fall = np.exp(-step / (len(step) * rng.uniform(0.05, 0.35) + 1))
        sound[at : at + len(step)] += rng.uniform(0.3, 4) * ring * fall
    return sound


def blows(frames: int, rng: np.random.Generator) -> Sound:
    """Trains of blows: impact wrench, ratchet, air chisel at 15 to 45 a second; a hammer at 1 to 4."""
    sound, at = rng.uniform(0.02, 0.3) * coloured(frames, rng), int(rng.uniform(0, 1) * RATE_HZ)
    usual_hz = np.exp(rng.uniform(np.log(15), np.log(45))) if rng.random() < 0.8 else rng.uniform(1, 4)
    low_hz = rng.uniform(200, 3000)
    while at < frames - 100:
        length = min(int(rng.uniform(0.2, 4) * RATE_HZ), frames - at)
        time = np.arange(length) / RATE_HZ
        phase = np.cumsum(np.full(length, usual_hz * rng.uniform(0.8, 1.2))) / RATE_HZ
        part = jittered(phase, float(rng.choice([0.01, 0.05, 0.1])), rng) % 1
        high_hz = rng.uniform(low_hz * 1.5, 7500)
        train = np.exp(-part * rng.uniform(3, 20)) * unit(band(rng.standard_normal(length), low_hz, high_hz))
        if rng.random() < 0.5:
            train += np.exp(-part * rng.uniform(4, 20)) * np.sin(2 * np.pi * rng.uniform(500, 4500) * time)
        sound[at : at + length] += unit(train) + rng.uniform(0, 0.4) * rng.standard_normal(length)
        at += length + int(rng.uniform(0.2, 4) * RATE_HZ)
    return sound


def tools(frames: int, rng: np.random.Generator) -> Sound:
    """Grinders, drills, a vacuum cleaner: they begin and stop as a starter does, and do not pulse."""
    sound, at = rng.uniform(0.02, 0.3) * coloured(frames, rng), int(rng.uniform(0, 3) * RATE_HZ)
    while at < frames - 400:
        length = min(int(rng.uniform(0.3, 9) * RATE_HZ), frames - at)
        time = np.arange(length) / RATE_HZ
        left = length / RATE_HZ - time
        turning = (1 - np.exp(-time / rng.uniform(0.02, 0.5))) * np.clip(left / rng.uniform(0.02, 1), 0, 1)
        turns = np.cumsum(rng.uniform(60, 900) * turning + 5) / RATE_HZ
        tone = sum(np.sin(2 * np.pi * k * turns) / k for k in range(1, int(rng.integers(2, 9))))
        one = rng.uniform(0, 1) * unit(np.asarray(tone)) + rng.uniform(0.1, 1) * coloured(length, rng)
        one *= np.minimum(1, time / rng.uniform(0.01, 0.3)) * np.minimum(1, left / rng.uniform(0.01, 0.5))
        sound[at : at + length] += unit(one)
        at += length + int(rng.uniform(0.3, 4) * RATE_HZ)
    return sound


def whines(frames: int, rng: np.random.Generator) -> Sound:
    """Starters that turn nothing."""
    sound, at = rng.uniform(0.02, 0.2) * coloured(frames, rng), int(rng.uniform(0.3, 2) * RATE_HZ)
    while at < frames - RATE_HZ:
        one = free_whine(rng.uniform(0.6, 5), rng)[: frames - at]
        sound[at : at + len(one)] += one
        at += len(one) + int(rng.uniform(0.5, 3) * RATE_HZ)
    return sound


def tune(frames: int, rng: np.random.Generator) -> Sound:
    """Music by chance: a bar of drums and notes that comes again, at any tempo, over chords."""
    step_s = 60 / rng.uniform(60, 180) / float(rng.choice([1, 2, 2, 3, 4, 4]))
    bar, root = int(rng.choice([4, 6, 8, 16])), rng.uniform(60, 300)
    scale = 2 ** (np.array([0, 2, 3, 5, 7, 8, 10, 12, 15]) / 12)
    loud = [(rng.random(bar) < rng.uniform(0.2, 0.9)) * rng.uniform(0.2, 1, bar) for _ in range(3)]
    falls, melody = rng.uniform(0.02, 0.3, 3), root * 2 * scale[rng.integers(0, 9, bar)]
    sound = _chords(frames, int(float(rng.choice([8, 16, 32])) * step_s * RATE_HZ) + 1, root * scale, rng)
    for step in range(int(frames / RATE_HZ / step_s)):
        at = int(step * step_s * RATE_HZ)
        for voice, fall in enumerate(falls):
            if loud[voice][step % bar] <= 0 or rng.random() < 0.08:
                continue
            time = np.arange(min(int(6 * fall * RATE_HZ), frames - at)) / RATE_HZ
            hz = (rng.uniform(40, 80), 0.0, float(melody[step % bar]))[voice]
            note = 0.5 * rng.standard_normal(len(time)) if not hz else np.sin(2 * np.pi * hz * time)
            sound[at : at + len(time)] += loud[voice][step % bar] * note * np.exp(-time / fall)
    return sound + 0.02 * coloured(frames, rng)


def _chords(frames: int, length: int, notes: NDArray[np.float64], rng: np.random.Generator) -> Sound:
    sound = np.zeros(frames)
    for at in range(0, frames, length):
        time = np.arange(min(length, frames - at)) / RATE_HZ
        for hz in notes[rng.integers(0, len(notes), 3)]:
            sound[at : at + len(time)] += sum(np.sin(2 * np.pi * hz * k * time) / k**1.3 for k in range(1, 6))
    return rng.uniform(0, 0.6) * unit(sound)


def cries(frames: int, rng: np.random.Generator) -> Sound:
    """Animals, sirens, squeals: a tone with overtones that glides, rough at a rate of its own, and breath."""
    sound, at = rng.uniform(0, 0.1) * coloured(frames, rng), int(rng.uniform(0, 1.5) * RATE_HZ)
    usual_hz, rough_hz = np.exp(rng.uniform(np.log(50), np.log(2500))), np.exp(rng.uniform(np.log(4), np.log(70)))
    fall, deep, breath = rng.uniform(0, 2), rng.uniform(0, 1) ** 2, rng.uniform(0, 1.5)
    while at < frames - 400:
        length = min(int(np.exp(rng.uniform(np.log(0.12), np.log(5))) * RATE_HZ), frames - at)
        time = np.arange(length) / RATE_HZ
        glide = np.interp(time, np.linspace(0, time[-1], 4), rng.uniform(0.6, 1.6, 4))
        hz = usual_hz * glide * (1 + rng.uniform(0, 0.05) * np.sin(2 * np.pi * rng.uniform(3, 9) * time))
        turns = np.cumsum(hz) / RATE_HZ
        one = sum(np.sin(2 * np.pi * k * turns) / k**fall * (k * hz < 7800) for k in range(1, int(rng.integers(2, 14))))
        low_hz = rng.uniform(100, 3000)
        one = unit(np.asarray(one)) + breath * unit(band(rng.standard_normal(length), low_hz, 4 * low_hz))
        rough = jittered(np.cumsum(rough_hz * glide ** rng.uniform(-1, 1)) / RATE_HZ, 0.08, rng)
        one *= 1 - deep * (0.5 + 0.5 * np.cos(2 * np.pi * rough))
        one *= np.minimum(1, time / rng.uniform(0.005, 0.4)) * np.minimum(1, time[::-1] / rng.uniform(0.01, 0.6))
        sound[at : at + length] += rng.uniform(0.4, 1) * one
        at += length + int(rng.uniform(0.02, 2) * RATE_HZ)
    return sound


def _chime(frames: int, rng: np.random.Generator) -> Sound:
    return chime(frames, rng) + rng.uniform(0.02, 0.5) * coloured(frames, rng)


def made_up() -> dict[str, tuple[Noise, float]]:
    """Every made-up kind by name, with how often it is drawn."""
    kinds: dict[str, tuple[Noise, float]] = {
        "steady": (steady, 3.0), "throb": (throb, 2.0), "hits": (hits, 2.0), "blows": (blows, 2.0),
        "tools": (tools, 2.0), "whines": (whines, 0.5), "tune": (tune, 2.5), "chime": (_chime, 0.7),
        "steps": (steps, 0.7), "cries": (cries, 2.0),
    }  # fmt: skip
    shop = (("talk", 2.0), ("compressor", 0.5), ("impact-wrench", 0.5), ("music", 0.5), ("idling-engine", 1.5))
    return kinds | {f"shop {name}": (_shop(name), often) for name, often in shop}


def _shop(name: str) -> Noise:
    return lambda frames, rng: shop_noise.NOISES[name](frames / RATE_HZ + 0.01, rng)[:frames]


def of_recording(pcm: NDArray[np.int16]) -> Noise:
    """Pieces of a long recording that holds no starter. `pcm`: int16, mono, (frames,), 16 000 Hz."""

    def piece(frames: int, rng: np.random.Generator) -> Sound:
        at = int(rng.integers(0, max(1, len(pcm) - frames)))
        return np.resize(pcm[at : at + frames], frames).astype(np.float64) + rng.standard_normal(frames)

    return piece


def some_noise(frames: int, rng: np.random.Generator, noises: Mapping[str, tuple[Noise, float]]) -> Sound:
    """One kind, or one over another that is softer."""
    makers, often = zip(*noises.values(), strict=True)
    share = np.asarray(often) / sum(often)
    sound = unit(makers[int(rng.choice(len(makers), p=share))](frames, rng))
    if rng.random() < 0.35:
        softer = 10 ** (rng.uniform(-20, 0) / 20)
        sound = sound + softer * unit(makers[int(rng.choice(len(makers), p=share))](frames, rng))
    return sound

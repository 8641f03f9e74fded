"""Made-up shop noises, rooms and microphones around a cranking sound. Formulas only; for tests and the rehearsal."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from assistant.cranking.synthetic import RATE_HZ, Sound, run


def hum(seconds: float, rng: np.random.Generator) -> Sound:
    """Fans and distant traffic: noise that falls with frequency."""
    white = rng.normal(size=int(seconds * RATE_HZ))
    pole = rng.uniform(0.7, 0.99)
    return _unit(signal.lfilter([1 - pole], [1, -pole], white) + 0.05 * white)


def compressor(seconds: float, rng: np.random.Generator) -> Sound:
    """A piston compressor: knocks 8 to 25 times a second, steady as its mains motor."""
    time = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    beat = (time * rng.uniform(8, 25)) % 1
    knock = np.exp(-beat * rng.uniform(2, 8)) * _unit(_band(rng.normal(size=len(time)), 80, 1500))
    mains = np.sin(2 * np.pi * 50 * time) + 0.5 * np.sin(2 * np.pi * 100 * time)
    return _unit(_unit(knock) + 0.6 * _unit(mains) + 0.4 * hum(seconds, rng))


def impact_wrench(seconds: float, rng: np.random.Generator) -> Sound:
    """Rattles of 0.3 to 4 s, 18 to 40 blows a second, with a whirr of air, between pauses."""
    frames = int(seconds * RATE_HZ)
    sound = 0.03 * hum(seconds, rng)
    at = rng.uniform(0, 1.5)
    while at < seconds - 0.5:
        length = min(rng.uniform(0.3, 4.0), seconds - at)
        time = np.arange(int(length * RATE_HZ)) / RATE_HZ
        blows_hz = rng.uniform(18, 40)
        beat = (np.cumsum(blows_hz * (1 + 0.03 * np.sin(2 * np.pi * 1.3 * time))) / RATE_HZ) % 1
        metal = _band(rng.normal(size=len(time)), rng.uniform(400, 1500), 7000)
        rattle = np.exp(-beat * rng.uniform(4, 12)) * metal + 0.15 * rng.normal(size=len(time))
        begin = int(at * RATE_HZ)
        stop = min(frames, begin + len(time))
        sound[begin:stop] += _unit(rattle)[: stop - begin]
        at += length + rng.uniform(0.4, 4.0)
    return _unit(sound)


def idling_engine(seconds: float, rng: np.random.Generator) -> Sound:
    """Another car idling: 600 to 1000 rpm, 3 to 8 cylinders."""
    frames = int(seconds * RATE_HZ)
    wander = signal.lfilter([1e-4], [1, -(1 - 1e-4)], rng.normal(size=frames)) * 20
    rpm = rng.uniform(600, 1000) * (1 + 0.01 * np.clip(wander, -3, 3))
    return run(rpm, int(rng.integers(3, 9)), rng)


def talk(seconds: float, rng: np.random.Generator) -> Sound:
    """Somebody talking, as far as rhythm and spectrum go: syllables 3 to 6 a second, hisses, pauses; no words."""
    frames = int(seconds * RATE_HZ)
    sound = np.zeros(frames)
    at = 0
    while at < frames:
        if rng.random() < 0.12:
            at += int(rng.uniform(0.2, 1.2) * RATE_HZ)
            continue
        length = int(rng.uniform(0.1, 0.3) * RATE_HZ)
        piece = _syllable(length, rng)[: frames - at]
        sound[at : at + len(piece)] += piece
        at += length + int(rng.uniform(0, 0.08) * RATE_HZ)
    return _unit(sound + 1e-3 * rng.normal(size=frames))


def _syllable(length: int, rng: np.random.Generator) -> Sound:
    time = np.arange(length) / RATE_HZ
    if rng.random() < 0.25:
        source = _band(rng.normal(size=length), 2500, 7500) * 0.5
    else:
        pitch = rng.uniform(90, 220) * (1 + 0.15 * np.sin(np.pi * time / time[-1]))
        source = signal.sawtooth(2 * np.pi * np.cumsum(pitch) / RATE_HZ)
        formants = ((rng.uniform(300, 800), 5), (rng.uniform(900, 2300), 8), (rng.uniform(2400, 3200), 10))
        source = sum(signal.lfilter(*signal.iirpeak(hz, q, fs=RATE_HZ), source) for hz, q in formants)
    return np.asarray(source * np.hanning(length) * rng.uniform(0.4, 1.0), dtype=np.float64)


def music(seconds: float, rng: np.random.Generator) -> Sound:
    """A radio: a beat of 80 to 160 a minute with eighths, bass and chords that change each bar."""
    frames = int(seconds * RATE_HZ)
    step_s = 60 / rng.uniform(80, 160) / 2
    sound = np.zeros(frames)
    root = rng.uniform(80, 130)
    for n in range(int(seconds / step_s)):
        begin = int(n * step_s * RATE_HZ)
        if n % 8 == 0:
            chord = root * 2 ** (rng.choice([0, 3, 5, 7, 8]) / 12) * np.array([1, 2, 2.52, 3])
        piece = np.zeros(int(step_s * RATE_HZ))
        time = np.arange(len(piece)) / RATE_HZ
        if n % 2 == 0:
            piece += rng.uniform(0.6, 1) * np.exp(-time / 0.06) * np.sin(2 * np.pi * 60 * time)
        if n % 4 == 2:
            piece += 0.5 * np.exp(-time / 0.05) * rng.normal(size=len(piece))
        piece += 0.15 * np.exp(-time / 0.02) * rng.normal(size=len(piece))
        for hz in chord:
            piece += 0.25 * np.exp(-time / 0.4) * np.sin(2 * np.pi * hz * time)
        sound[begin : begin + len(piece)] += piece[: frames - begin]
    return _unit(sound + 1e-3 * rng.normal(size=frames))


NOISES: dict[str, Callable[[float, np.random.Generator], Sound]] = {
    "hum": hum,
    "compressor": compressor,
    "impact-wrench": impact_wrench,
    "idling-engine": idling_engine,
    "talk": talk,
    "music": music,
}


def room(sound: Sound, rng: np.random.Generator) -> Sound:
    """The sound in a room: the direct path and an echo that dies within 0.15 to 0.8 s."""
    fall_s = rng.uniform(0.15, 0.8)
    time = np.arange(int(fall_s * RATE_HZ)) / RATE_HZ
    echo = rng.normal(size=len(time)) * 10 ** (-3 * time / fall_s)
    echo *= rng.uniform(0.1, 0.8) / np.sqrt(np.sum(echo**2))
    echo[0] += 1.0
    return np.asarray(signal.oaconvolve(sound, echo)[: len(sound)], dtype=np.float64)


def microphone(sound: Sound, rng: np.random.Generator, *, level: float | None = None) -> NDArray[np.int16]:
    """What a phone's microphone hands over: band limits, sometimes automatic gain, sometimes clipping; int16."""
    low, high = rng.uniform(60, 250), rng.uniform(3400, 7800)
    sos = signal.butter(2, [low, high], "bandpass", fs=RATE_HZ, output="sos")
    heard = np.asarray(signal.sosfilt(sos, sound))
    if rng.random() < 0.3:
        heard = _automatic_gain(heard, rng)
    peak = level if level is not None else 10 ** (rng.uniform(-24, 2) / 20)
    heard = heard / (np.quantile(np.abs(heard), 0.999) + 1e-12) * peak
    return np.asarray(np.clip(np.round(heard * 32767), -32768, 32767), dtype=np.int16)


def _automatic_gain(sound: Sound, rng: np.random.Generator) -> Sound:
    pole = np.exp(-1 / (rng.uniform(0.2, 1.5) * RATE_HZ))
    level = np.sqrt(signal.lfilter([1 - pole], [1, -pole], sound**2) + 1e-6)
    return np.asarray(sound / (level + 0.1 * level.max()) ** rng.uniform(0.3, 0.7), dtype=np.float64)


def _band(sound: Sound, low_hz: float, high_hz: float) -> Sound:
    sos = signal.butter(2, [low_hz, high_hz], "bandpass", fs=RATE_HZ, output="sos")
    return np.asarray(signal.sosfilt(sos, sound), dtype=np.float64)


def _unit(sound: Sound) -> Sound:
    return np.asarray(sound / (np.sqrt(np.mean(sound**2)) + 1e-12), dtype=np.float64)

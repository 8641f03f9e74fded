"""Rooms, noises and telephones of the third maker of cranking scenes; and mixed hours in which no starter turns."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy import signal

RATE_HZ = 16_000

Sound = NDArray[np.float64]
Noise = Callable[[int, np.random.Generator], Sound]


def within_room(sound: Sound, rng: np.random.Generator) -> Sound:
    """In a bay, under a bonnet or in a cabin: a few early echoes, then a tail that loses its highs."""
    where = rng.choice(["bay", "bonnet", "cabin"])
    length = {"bay": rng.uniform(0.5, 1.6), "bonnet": rng.uniform(0.05, 0.15), "cabin": rng.uniform(0.04, 0.1)}[where]
    frames = int(length * RATE_HZ)
    time = np.arange(frames) / RATE_HZ
    tail = rng.standard_normal(frames) * np.exp(-6.9 * time / length)
    tail = signal.lfilter(*signal.butter(1, 4000 if where == "bay" else 2500, fs=RATE_HZ), tail)
    answer = np.zeros(frames)
    answer[0] = 1.0
    for delay in rng.uniform(0.002, 0.03, 5):
        answer[min(frames - 1, int(delay * RATE_HZ))] += rng.uniform(-0.5, 0.5)
    answer += rng.uniform(0.1, 0.5) * tail / (math.sqrt(float(np.sum(tail**2))) + 1e-9)
    heard = signal.oaconvolve(sound, answer)[: len(sound)]
    if where == "cabin":
        heard = signal.lfilter(*signal.butter(1, rng.uniform(500, 1800), fs=RATE_HZ), heard) + 0.1 * heard
        heard = heard + 0.6 * signal.lfilter(*signal.iirpeak(rng.uniform(50, 120), 3, fs=RATE_HZ), heard)
    return np.asarray(heard, dtype=np.float64)


def recorded(sound: Sound, rng: np.random.Generator) -> NDArray[np.int16]:
    """By a telephone: as it is, over a narrow line in eight bits, or coded in frames; louder or softer."""
    sound = sound / (np.quantile(np.abs(sound), 0.999) + 1e-12)
    way = rng.choice(["plain", "line", "coded"], p=[0.5, 0.2, 0.3])
    if way == "line":
        sound = signal.sosfiltfilt(signal.butter(3, [280, 3500], "bandpass", fs=RATE_HZ, output="sos"), sound)
        pressed = np.sign(sound) * np.log1p(255 * np.abs(sound).clip(0, 1)) / math.log(256)
        pressed = np.round(pressed * 127) / 127
        sound = np.sign(pressed) * (256 ** np.abs(pressed) - 1) / 255
    elif way == "coded":
        sound = _coded(sound, rng)
    peak = 10 ** (rng.uniform(-22, 0) / 20)
    return np.asarray(np.clip(np.round(sound * peak * 32767), -32768, 32767), dtype=np.int16)


def _coded(sound: Sound, rng: np.random.Generator) -> Sound:
    """Frames of 20 ms whose lines are rounded by the loudness of their neighbours, and left out where too soft."""
    _, _, lines = signal.stft(sound, RATE_HZ, nperseg=640, noverlap=320)
    size = np.abs(lines)
    near = signal.oaconvolve(size, np.ones((9, 1)) / 9, mode="same")
    grain = near * rng.uniform(0.2, 0.6)
    kept = np.where(size > 0.3 * near, np.round(size / (grain + 1e-12)) * grain, 0.0)
    _, back = signal.istft(kept * np.exp(1j * np.angle(lines)), RATE_HZ, nperseg=640, noverlap=320)
    back = back[: len(sound)]
    return np.asarray(np.pad(back, (0, len(sound) - len(back))), dtype=np.float64)


def _coloured(frames: int, tilt: float, rng: np.random.Generator) -> Sound:
    spectrum = np.fft.rfft(rng.standard_normal(frames))
    hz = np.maximum(np.fft.rfftfreq(frames, 1 / RATE_HZ), 30.0)
    return _unit(np.fft.irfft(spectrum * (hz / 1000) ** (-tilt / 2), frames))


def ventilation(frames: int, rng: np.random.Generator) -> Sound:
    """Air in ducts, with the tone of its blades."""
    time = np.arange(frames) / RATE_HZ
    blades = rng.uniform(90, 260)
    tones = sum(np.sin(2 * math.pi * blades * k * time + rng.uniform(0, 6)) / k for k in (1, 2, 3))
    return _unit(_coloured(frames, rng.uniform(1, 2), rng) + rng.uniform(0.05, 0.4) * tones)


def street(frames: int, rng: np.random.Generator) -> Sound:
    """Cars and lorries that pass an open gate, each swelling and fading over some seconds."""
    time = np.arange(frames) / RATE_HZ
    sound = 0.25 * _coloured(frames, 1.5, rng)
    for at in np.cumsum(rng.uniform(2, 12, max(1, int(time[-1] / 4)))):
        near = 1 / (1 + ((time - at) / rng.uniform(0.6, 2.5)) ** 2)
        engine = _firing(np.full(frames, rng.uniform(25, 90)), rng) if rng.random() < 0.5 else 0.0
        sound += near * (rng.uniform(0.4, 1.5) * _coloured(frames, 1.0, rng) + rng.uniform(0.1, 0.6) * engine)
    return _unit(sound)


def ratchet(frames: int, rng: np.random.Generator) -> Sound:
    """An air ratchet: now and then a whirr with the clicks of its pawl, slowing under load."""
    return _unit(_now_and_then(frames, rng, _ratchet_run, (0.3, 3.0), (0.5, 6.0)) + 0.05 * _coloured(frames, 1, rng))


def _ratchet_run(count: int, rng: np.random.Generator) -> Sound:
    time = np.arange(count) / RATE_HZ
    pace = rng.uniform(35, 70) * (1 - 0.4 * (time / time[-1]) ** 3)
    clicks = np.exp(-(np.cumsum(pace) / RATE_HZ % 1) * rng.uniform(5, 10)) * rng.standard_normal(count)
    whirr = np.sin(2 * math.pi * np.cumsum(pace * 21) / RATE_HZ) + 0.5 * np.diff(rng.standard_normal(count + 1))
    return _unit(clicks) + 0.6 * _unit(whirr)


def drill(frames: int, rng: np.random.Generator) -> Sound:
    """An electric drill or screwdriver: up at once, steady or bogged down, down again; some strike."""
    return _unit(_now_and_then(frames, rng, _drill_run, (0.5, 6.0), (0.5, 8.0)) + 0.05 * _coloured(frames, 1, rng))


def _drill_run(count: int, rng: np.random.Generator) -> Sound:
    time = np.arange(count) / RATE_HZ
    up = 1 - np.exp(-time / rng.uniform(0.05, 0.2))
    bog = 1 - rng.uniform(0, 0.4) * np.exp(-(((time - rng.uniform(0, time[-1])) / 0.4) ** 2))
    hz = rng.uniform(150, 500) * up * bog
    turns = np.cumsum(hz) / RATE_HZ
    tone = sum(rng.uniform(0.2, 1) * np.sin(2 * math.pi * k * turns) / k for k in range(1, 7))
    strikes = np.exp(-(turns / rng.integers(8, 14) % 1) * 6) * rng.standard_normal(count) * (rng.random() < 0.3)
    return _unit(_unit(np.asarray(tone)) + 0.5 * np.diff(rng.standard_normal(count + 1)) + 2 * strikes)


def compressor(frames: int, rng: np.random.Generator) -> Sound:
    """A compressor that starts, pumps up and stops, a belt's rumble over it."""
    return _unit(
        _now_and_then(frames, rng, _compressor_run, (6.0, 30.0), (3.0, 20.0)) + 0.05 * _coloured(frames, 1, rng)
    )


def _compressor_run(count: int, rng: np.random.Generator) -> Sound:
    time = np.arange(count) / RATE_HZ
    strokes = np.cumsum(rng.uniform(7, 22) * (1 - np.exp(-time / rng.uniform(0.2, 0.8)))) / RATE_HZ
    thump = sum(np.exp(-((strokes + lag) % 1) * rng.uniform(3, 7)) for lag in (0.0, rng.uniform(0.4, 0.6)))
    return _unit(
        thump * _coloured(count, 1.5, rng) + 0.5 * np.sin(2 * math.pi * 49.3 * time) + 0.2 * np.sin(600 * time)
    )


def engine_idling(frames: int, rng: np.random.Generator) -> Sound:
    """Another engine that runs all along, its idle hunting a little."""
    wander = np.cumsum(rng.standard_normal(frames // 1600 + 2)) * 0.4
    hz = rng.uniform(18, 60) + np.interp(np.arange(frames) / 1600, np.arange(len(wander)), wander - wander.mean())
    return _unit(_firing(hz.clip(12, 90), rng))


def _firing(hz: Sound, rng: np.random.Generator) -> Sound:
    turns = np.cumsum(hz) / RATE_HZ
    share = rng.uniform(0.8, 1.2, 8)[np.floor(turns).astype(int) % int(rng.integers(3, 9))]
    pulse = share * np.exp(-(turns % 1) * rng.uniform(2, 5))
    deep = signal.lfilter(*signal.butter(2, [40, rng.uniform(250, 900)], "bandpass", fs=RATE_HZ), pulse)
    return _unit(_unit(deep) + rng.uniform(0.1, 0.6) * _unit(pulse * np.diff(rng.standard_normal(len(hz) + 1))))


def voices(frames: int, rng: np.random.Generator) -> Sound:
    """Two who talk at a distance: pitch that rises and falls, vowels that glide, hisses and pauses; no words."""
    one, other = (_speaker(frames, rng) * rng.uniform(0.3, 1) for _ in range(2))
    return _unit(one + other)


def _speaker(frames: int, rng: np.random.Generator) -> Sound:
    few = frames // 800 + 2

    def glide(low: float, high: float, quick: float) -> Sound:
        steps = signal.lfilter([quick], [1, quick - 1], rng.uniform(low, high, few))
        return np.asarray(np.interp(np.arange(frames) / 800, np.arange(few), steps))

    pitch = np.cumsum(glide(80, 260, 0.3)) / RATE_HZ
    open_ = (glide(-0.5, 1.0, 0.5)).clip(0, 1) * (glide(-1, 2, 0.04) > 0.35)
    voiced = sum(np.sin(2 * math.pi * k * pitch) * np.exp(-(((k * 160 - glide(300, 2400, 0.3)) / 500) ** 2))
                 for k in range(1, 18))  # fmt: skip
    hiss = np.diff(rng.standard_normal(frames + 1)) * (glide(-1.2, 0.6, 0.6)).clip(0, 1)
    return _unit(voiced * open_ + 0.4 * hiss)


def radio(frames: int, rng: np.random.Generator) -> Sound:
    """Music: a drum, a bass and plucked chords at 70 to 170 a minute, by frequency modulation."""
    beat = int(RATE_HZ * 60 / rng.uniform(70, 170) / 2)
    sound, root = np.zeros(frames + 4 * beat), 55.0
    time = np.arange(3 * beat) / RATE_HZ
    for number, at in enumerate(range(0, frames, beat)):
        root = 55 * 2 ** (rng.integers(0, 12) / 12) if number % 16 == 0 else root
        part = np.zeros(len(time))
        if number % 4 == 0:
            part += np.exp(-time / 0.1) * np.sin(2 * math.pi * (45 * time + 4 * (1 - np.exp(-time / 0.03))))
        if number % 4 == 2:
            part += 0.6 * np.exp(-time / 0.07) * rng.standard_normal(len(time))
        for step in rng.choice([0, 3, 4, 7, 10, 12], 2):
            hz = root * 4 * 2 ** (step / 12)
            part += (
                0.3 * np.exp(-time / 0.3) * np.sin(2 * math.pi * hz * time + 2 * np.sin(2 * math.pi * 2 * hz * time))
            )
        part += 0.5 * np.exp(-time / 0.25) * np.sin(2 * math.pi * root * time)
        sound[at : at + len(part)] += part
    return _unit(sound[:frames])


def rotor(frames: int, rng: np.random.Generator) -> Sound:
    """A helicopter that comes and goes: heavy slaps 9 to 24 a second on a turbine's rush."""
    time = np.arange(frames) / RATE_HZ
    slaps = np.exp(-(time * rng.uniform(9, 24) % 1) * rng.uniform(4, 12)) * _coloured(frames, 1.5, rng)
    near = 0.05 + np.exp(-(((time - rng.uniform(0, time[-1])) / rng.uniform(3, 15)) ** 2))
    return _unit(near * (_unit(slaps) + 0.4 * _coloured(frames, 0.3, rng)))


def saw(frames: int, rng: np.random.Generator) -> Sound:
    """A chainsaw or a mower: pulled three times, then idling and revving."""

    def run(count: int, rng: np.random.Generator) -> Sound:
        time = np.arange(count) / RATE_HZ
        rev = np.interp(time, np.sort(rng.uniform(0, time[-1], 6)), rng.uniform(0, 1, 6))
        return _firing(40 + 140 * rev * rng.uniform(0.3, 1), rng)

    return _unit(_now_and_then(frames, rng, run, (0.4, 9.0), (0.5, 4.0)) + 0.03 * _coloured(frames, 1, rng))


def dog(frames: int, rng: np.random.Generator) -> Sound:
    """A dog: barks in rows."""

    def bark(count: int, rng: np.random.Generator) -> Sound:
        time = np.arange(count) / RATE_HZ
        hz = rng.uniform(300, 700) * (1 + 0.4 * np.sin(math.pi * time / time[-1]))
        turns = np.cumsum(hz) / RATE_HZ
        cry = signal.sawtooth(2 * math.pi * turns) + 0.5 * rng.standard_normal(count)
        return np.asarray(np.hanning(count) * cry, dtype=np.float64)

    return _unit(_now_and_then(frames, rng, bark, (0.1, 0.35), (0.1, 1.2)) + 0.02 * _coloured(frames, 1, rng))


def blows(frames: int, rng: np.random.Generator) -> Sound:
    """Hammer, dropped tools, doors, hisses of air: single events, at times in quick rows."""

    def event(count: int, rng: np.random.Generator) -> Sound:
        time = np.arange(count) / RATE_HZ
        if rng.random() < 0.3:
            return np.diff(rng.standard_normal(count + 1)) * np.exp(-time / rng.uniform(0.1, 1))
        return np.asarray(
            sum(np.exp(-time * rng.uniform(4, 60)) * np.sin(2 * math.pi * hz * time) for hz in rng.uniform(80, 4000, 6))
        )

    return _unit(_now_and_then(frames, rng, event, (0.2, 1.2), (0.05, 3.0)) + 0.05 * _coloured(frames, 1, rng))


def grinder(frames: int, rng: np.random.Generator) -> Sound:
    """An angle grinder or a vacuum cleaner: up over a second, minutes of howl, touching metal now and then."""

    def run(count: int, rng: np.random.Generator) -> Sound:
        time = np.arange(count) / RATE_HZ
        hz = rng.uniform(200, 700) * (1 - np.exp(-time / rng.uniform(0.2, 0.8)))
        tone = sum(np.sin(2 * math.pi * k * np.cumsum(hz) / RATE_HZ) / k for k in (1, 2, 3, 5))
        touch = np.interp(time, np.linspace(0, time[-1], 8), rng.uniform(0, 1, 8)) ** 2
        return _unit(np.asarray(tone)) + (0.4 + 2 * touch) * np.diff(rng.standard_normal(count + 1))

    return _unit(_now_and_then(frames, rng, run, (2.0, 20.0), (1.0, 12.0)) + 0.03 * _coloured(frames, 1, rng))


def _now_and_then(
    frames: int, rng: np.random.Generator, make: Noise, lasts: tuple[float, float], rests: tuple[float, float]
) -> Sound:
    """Runs of a sound with pauses between them, each as loud as it comes."""
    sound = np.zeros(frames)
    at = int(rng.uniform(0, rests[1]) * RATE_HZ)
    while at < frames:
        made = make(int(rng.uniform(*lasts) * RATE_HZ), rng)
        sound[at : at + len(made)] += rng.uniform(0.4, 1.2) * made[: frames - at]
        at += len(made) + int(rng.uniform(*rests) * RATE_HZ)
    return sound


def _unit(sound: Sound) -> Sound:
    return np.asarray(sound / (np.sqrt(np.mean(np.square(sound))) + 1e-12), dtype=np.float64)


AROUND: Mapping[str, Noise] = MappingProxyType(
    {
        "ventilation": ventilation, "street": street, "ratchet": ratchet, "drill": drill, "compressor": compressor,
        "engine": engine_idling, "voices": voices, "radio": radio,
    }
)  # fmt: skip
"""What may be heard around an attempt."""

NO_STARTER: Mapping[str, Noise] = MappingProxyType(
    dict(AROUND) | {"rotor": rotor, "saw": saw, "dog": dog, "blows": blows, "grinder": grinder}
)
"""What is no starter, for hours on end."""


def mixed(seconds: float, rng: np.random.Generator) -> NDArray[np.int16]:
    """A stretch of a shop's day: two or three of these at a time in a room, changing every 20 to 60 s."""
    frames = int(seconds * RATE_HZ)
    sound = 0.1 * _coloured(frames, 1.0, rng)
    for name in rng.permutation(list(NO_STARTER)):
        first = int(rng.uniform(0, frames * 0.8))
        count = min(frames - first, int(rng.uniform(20, 60) * RATE_HZ))
        sound[first : first + count] += 10 ** (rng.uniform(-25, 0) / 20) * NO_STARTER[name](count, rng)
    return recorded(within_room(sound, rng), rng)

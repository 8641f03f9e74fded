"""Scenes to learn from: attempts to start an engine by widely drawn formulas, unlike those of both measuring makers.

Here the crankshaft is slowed by each compression as far as chance has it, and what sounds is a handful of sources, each
in a band or at an order of the crankshaft drawn by chance, swelling with the load, with the speed, or with the pulses,
together or apart, by 1 to 36 dB. Half of the starts are as short as those of engines in order, and the engine that
takes over stumbles or roars. Noise comes from `crank_practice_noise`, microphones and places from
`crank_practice_place`. What is learnt must hold for all of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from assistant.cranking import shop_noise
from assistant.cranking.layers import ENGINE, STARTER
from assistant.cranking.synthetic import RATE_HZ, Sound, clunk
from assistant.training.crank_practice_noise import Noise, band, jittered, some_noise, source, swell, unit
from assistant.training.crank_practice_place import near, recorded

PLAIN_SHARE = 0.25
"""Scenes in which no starter turns."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """`pcm`: int16, mono, (frames,), 16 000 Hz. `parts`: what goes on at each frame. `bursts`: first and last frame."""

    pcm: NDArray[np.int16]
    parts: NDArray[np.int8]
    bursts: tuple[tuple[int, int], ...]


def make_practice(
    rng: np.random.Generator, noises: Mapping[str, tuple[Noise, float]], engines: Sequence[NDArray[np.int16]] = ()
) -> Practice:
    """One scene of 8 to 22 s with one or several attempts, SNR -2 to 50 dB.

    `noises`: by name, with how often. `engines`: recordings of running engines, which take over in half of the starts.
    """
    frames = int(rng.uniform(8, 22) * 10) * RATE_HZ // 10
    sound, parts, bursts = np.zeros(frames), np.zeros(frames, dtype=np.int8), []
    plain = rng.random() < PLAIN_SHARE
    if not plain:
        bursts = _attempts(sound, parts, rng, engines)
        sound /= np.sqrt(np.mean(sound[parts == STARTER] ** 2))
        near(sound, bursts, rng)
    around = some_noise(frames, rng, noises)
    if plain and rng.random() < 0.3:
        _another_engine(around, rng)
    snr_db = rng.uniform(-2, 22) if rng.random() < 0.75 else rng.uniform(22, 50)
    if rng.random() < 0.7 or plain:
        sound = shop_noise.room(sound, rng)
    if rng.random() < 0.5:
        around = shop_noise.room(around, rng)
    if plain:
        sound = around
    else:
        power = max(float(np.mean(around[parts == STARTER] ** 2)), 0.3 * float(np.mean(around**2)))
        sound = sound + around * np.sqrt(1 / power / 10 ** (snr_db / 10))
    pcm = recorded(sound, rng)
    first, stop = _cut_off(frames, rng)
    for silent in (slice(0, first), slice(stop, frames)):
        pcm[silent], parts[silent] = 0, 0
    kept = [(max(first, begin), min(stop, end)) for begin, end in bursts if begin < stop and end > first]
    return Practice(pcm=pcm, parts=parts, bursts=tuple(kept))


def _cut_off(frames: int, rng: np.random.Generator) -> tuple[int, int]:
    """First and last frame that a file holds: some are padded with mere zeros."""
    first = int(rng.uniform(0.02, 1.5) * RATE_HZ) if rng.random() < 0.1 else 0
    return first, frames - (int(rng.uniform(0.02, 1.5) * RATE_HZ) if rng.random() < 0.05 else 0)


def _another_engine(around: Sound, rng: np.random.Generator) -> None:
    """An engine that comes up, or is revved, with no starter before it: a car that comes by, a door that opens."""
    around /= np.sqrt(np.mean(around**2)) + 1e-12
    at = int(rng.uniform(0, len(around) - RATE_HZ))
    rpm = rng.uniform(400, 1500)
    ran = engine(float(rng.uniform(0.6, 9)), int(rng.integers(3, 9)), rpm, rng, dies=bool(rng.random() < 0.5))
    ran = ran[: len(around) - at] * 10 ** (rng.uniform(-6, 20) / 20)
    around[at : at + len(ran)] += ran * np.minimum(1, np.arange(len(ran)) / RATE_HZ / rng.uniform(0.02, 2))


def _attempts(
    sound: Sound, parts: NDArray[np.int8], rng: np.random.Generator, engines: Sequence[NDArray[np.int16]]
) -> list[tuple[int, int]]:
    """Lays one to several attempts into `sound` and says in `parts` what goes on when."""
    cylinders = int(rng.choice([1, 2, 3, 3, 4, 4, 4, 5, 6, 6, 8, 8]))
    at_s = rng.uniform(0.3, 5) if rng.random() < 0.75 else rng.uniform(0, 0.3)
    bursts: list[tuple[int, int]] = []
    while not bursts or (rng.random() < 0.45 and at_s * RATE_HZ < len(sound) - 2 * RATE_HZ):
        rpm = float(rng.uniform(60, 350) if rng.random() < 0.85 else rng.uniform(40, 420))
        burst_s, caught = np.exp(rng.uniform(np.log(0.6), np.log(15))), rng.random() < 0.45
        if rng.random() < 0.45:  # most engines in order start within a second
            burst_s, caught = np.exp(rng.uniform(np.log(0.35), np.log(1.8))), rng.random() < 0.75
            rpm = float(rng.uniform(120, 380))
        run_s = float(np.exp(rng.uniform(np.log(0.5), np.log(9)))) if caught else 0.0
        turned, coast = _starter(float(burst_s), cylinders, rpm, rng)
        made = np.concatenate([turned, coast])
        if caught:
            dies = bool(rng.random() < 0.6)
            if len(engines) and rng.random() < 0.5:
                ran = played(engines[int(rng.integers(len(engines)))], run_s, rng, dies=dies)
            else:
                ran = engine(run_s, cylinders, rpm, rng, dies=dies)
            made = _taken_over(made, len(turned), ran, rng)
        first = int(at_s * RATE_HZ)
        stop = min(len(sound), first + len(turned))
        made = made[: len(sound) - first]
        sound[first : first + len(made)] += made
        parts[first:stop] = STARTER
        parts[stop : max(stop, min(len(sound), first + len(turned) + int(run_s * RATE_HZ)))] = ENGINE
        bursts.append((first, stop))
        at_s += len(made) / RATE_HZ + rng.uniform(0.6, 5)
    return bursts


def _taken_over(made: Sound, turned: int, ran: Sound, rng: np.random.Generator) -> Sound:
    """The starter's sound and the engine `ran` that takes over near frame `turned`: at once, or firing before it."""
    begins = max(0, turned - int(rng.uniform(0, 0.35) * RATE_HZ))
    for _ in range(int(rng.integers(1, 7)) if rng.random() < 0.4 else 0):
        at = begins - int(min(rng.exponential(0.3), 1.5) * RATE_HZ)
        _fire(made[: max(turned, 2)], rng, at=max(0, at))
    if rng.random() < 0.5:  # freed of its load, the starter is drowned
        rest = np.arange(len(made) - begins) / RATE_HZ
        made[begins:] *= np.maximum(rng.uniform(0, 0.5), np.exp(-rest / rng.uniform(0.03, 0.3)))
    ran = ran * 10 ** (rng.uniform(-6, 17) / 20)
    made = np.concatenate([made, np.zeros(max(0, begins + len(ran) - len(made)))])
    made[begins : begins + len(ran)] += ran
    return made


def _crankshaft(frames: int, cylinders: int, rpm: float, rng: np.random.Generator) -> tuple[Sound, Sound]:
    """Pulse phase of each frame, and strength of each cylinder: a compression slows the crank, then lets it go."""
    strength = rng.normal(1, rng.uniform(0.02, 0.15), cylinders).clip(0.3)
    if rng.random() < 0.2:
        strength[rng.integers(cylinders)] *= rng.uniform(0.1, 0.6)
    grain = 64
    pulses = int(frames / RATE_HZ * rpm * cylinders / 120 * 1.6) + 6 * cylinders + 8
    part, which = (np.arange(pulses * grain) % grain) / grain, np.arange(pulses * grain) // grain
    skew = rng.uniform(0.45, 0.85)
    load = (
        np.where(part < skew, part / skew, (1 - part) / (1 - skew)) ** rng.uniform(1, 4) * strength[which % cylinders]
    )
    speed = np.sqrt(np.maximum(1 - rng.uniform(0, 0.95) ** rng.uniform(0.7, 2) * load, 0.05))
    stiff = rng.uniform(0, 0.8)
    speed = speed * (1 - stiff) + stiff * speed.mean()
    speed *= 1 + rng.normal(0, rng.uniform(0.003, 0.03), pulses)[which]
    passed = 1 / (speed * grain)
    passed *= pulses / passed.sum() / (rpm * cylinders / 120)
    moments = np.concatenate([[0], np.cumsum(passed)])
    time = np.arange(frames) / RATE_HZ
    slow_s, first = rng.uniform(0, 0.35), rng.uniform(1, 4)  # the first compressions take longer
    warped = time * (1 + rng.uniform(-0.1, 0.1) * time / max(frames / RATE_HZ, 4) / 2)
    warped -= slow_s * (1 - 1 / first) * (1 - np.exp(-time / max(slow_s, 0.01)))
    return np.interp(np.maximum(warped, 0), moments, np.arange(len(moments)) / grain), strength


def _starter(seconds: float, cylinders: int, rpm: float, rng: np.random.Generator) -> tuple[Sound, Sound]:
    """The starter's sound, power 1, and what is heard for half a second after its release."""
    frames = int(seconds * RATE_HZ)
    phase, strength = _crankshaft(frames, cylinders, rpm, rng)
    pulse_hz = rpm * cylinders / 120
    time, turns, speed = np.arange(frames) / RATE_HZ, phase * 2 / cylinders, np.gradient(phase) * RATE_HZ / pulse_hz
    together = rng.random() < 0.55
    load = np.clip((1.6 - speed) / 1.2, 0, 1) * rng.uniform(0.3, 1) + 0.7 * np.clip(
        swell(phase, strength, rng) / 2, 0, 1
    )
    low, high = np.quantile(load[::16], [0.05, 0.95])
    load = np.clip((load - low) / (high - low + 1e-9), 0, 1)
    deep = 10 ** (-rng.uniform(3, 36) / 20 * (1 - load) ** rng.uniform(0.5, 2))
    sound = np.zeros(frames)
    tonal = rng.choice([0.1, 0.45, 0.45, 0.9])  # from starters that hardly whine to those that do little else
    for _ in range(int(rng.integers(2, 6))):
        one, kind = source(turns, rng, tonal), rng.random()
        if together and kind < 0.85:
            one = one * deep ** rng.uniform(0.5, 1.2)
        elif kind < 0.45:
            one = one * swell(phase + rng.normal(0, 0.12), strength, rng)
        elif kind < 0.7:
            one = one * np.clip(speed, 0.02, 4) ** rng.uniform(0.3, 2.5)
        elif kind < 0.95:
            one = one * np.clip(1.9 - speed, 0.02, 4) ** rng.uniform(0.3, 2.5)
        sound += rng.uniform(0.15, 1) * unit(one)
    sound = unit(sound * (1 - np.exp(-time / rng.uniform(0.005, 0.06))))
    for _ in range(int(rng.integers(1, 4)) if rng.random() < 0.2 else 0):
        _fire(sound, rng)
    if rng.random() < 0.6:
        hit = clunk(rng)[:frames] * rng.uniform(0.2, 1.5)
        sound[: len(hit)] += hit
    return sound, _coast(phase, pulse_hz, rpm, strength, rng)


def _fire(sound: Sound, rng: np.random.Generator, at: int | None = None) -> None:
    """One firing that does not catch."""
    at = int(rng.uniform(0.2, 0.95) * len(sound)) if at is None else min(at, len(sound) - 1)
    time = np.arange(min(int(0.2 * RATE_HZ), len(sound) - at)) / RATE_HZ
    bang = np.sin(2 * np.pi * rng.uniform(50, 250) * time) + 0.5 * rng.standard_normal(len(time))
    sound[at : at + len(time)] += rng.uniform(1.5, 4) * np.exp(-time / rng.uniform(0.01, 0.06)) * bang


def _coast(phase: Sound, pulse_hz: float, rpm: float, strength: Sound, rng: np.random.Generator) -> Sound:
    time = np.arange(RATE_HZ // 2) / RATE_HZ
    fall = np.exp(-time / rng.uniform(0.008, 0.09))
    turns = np.cumsum(rpm / 60 * np.sqrt(fall) + 0.1) / RATE_HZ
    noise = rng.uniform(0, 0.7) * rng.standard_normal(len(time))
    sound = fall * (rng.uniform(0, 1) * source(turns, rng, 0.7) + noise) * rng.uniform(0, 1)
    if rng.random() < 0.5:  # the engine turns on a little, and breathes
        slow = rng.uniform(0.1, 0.5)
        on, low_hz = phase[-1] + np.cumsum(pulse_hz * np.exp(-time / slow)) / RATE_HZ, rng.uniform(50, 300)
        breath = unit(band(rng.standard_normal(len(time)), low_hz, low_hz * rng.uniform(3, 12)))
        sound += rng.uniform(0.05, 0.6) * breath * swell(on, strength, rng) * np.exp(-time / slow * rng.uniform(0.5, 2))
    return sound


def engine(seconds: float, cylinders: int, from_rpm: float, rng: np.random.Generator, *, dies: bool) -> Sound:
    """A running engine that comes up from `from_rpm`, flares, idles and may die; power 1."""
    tail_s = rng.uniform(0.15, 0.8) if dies else 0.0
    time = np.arange(int((seconds + tail_s) * RATE_HZ)) / RATE_HZ
    idle = rng.uniform(450, 1300)
    flare = idle * np.exp(rng.uniform(np.log(0.8), np.log(4)))
    rpm = from_rpm + (flare - from_rpm) * (1 - np.exp(-time / np.exp(rng.uniform(np.log(0.05), np.log(0.9)))))
    rpm += (idle - flare) * (1 - np.exp(-np.maximum(0, time - rng.uniform(0.3, 1.5)) / rng.uniform(0.3, 1.5)))
    if rng.random() < 0.3:
        rpm *= 1 + rng.uniform(0, 0.12) * np.sin(2 * np.pi * rng.uniform(0.3, 2) * time)
    dying = np.exp(-np.maximum(0, time - seconds) / (tail_s / 4 + 0.02))
    turns = np.cumsum(np.maximum(rpm * dying, 8) / 60) / RATE_HZ
    phase = jittered(turns * cylinders / 2, rng.uniform(0.005, 0.05), rng)
    strength = rng.normal(1, rng.uniform(0.03, 0.3), cylinders).clip(0.2)
    if rng.random() < 0.3:  # it stumbles
        strength = np.tile(strength, 40)
        strength[rng.random(len(strength)) < rng.uniform(0.05, 0.5)] *= rng.uniform(0, 0.5)
    low_hz = rng.uniform(35, 150)
    sources = [unit(band(rng.standard_normal(len(time)), low_hz, low_hz * rng.uniform(2, 8)))]
    sources += [source(turns, rng, 0.2) for _ in range(int(rng.integers(1, 5)))]
    sound = np.zeros(len(time))
    for one in sources:
        sound += rng.uniform(0.2, 1) * one * swell(phase + rng.normal(0, 0.1), strength, rng)
    pushes = swell(phase, strength, rng)
    ring = signal.iirpeak(rng.uniform(50, 300), rng.uniform(0.8, 3), fs=RATE_HZ)
    sound += rng.uniform(0, 1.5) * unit(signal.lfilter(*ring, pushes - pushes.mean()))
    louder = (np.maximum(rpm, 200) / idle) ** rng.uniform(0, 1.2)  # the faster it turns
    comes = np.minimum(1, time / np.exp(rng.uniform(np.log(0.01), np.log(0.5))))
    loud = unit(unit(sound) * louder) * comes * np.where(time > seconds, np.sqrt(dying), 1)
    return np.asarray(loud, dtype=np.float64)


def played(loop: NDArray[np.int16], seconds: float, rng: np.random.Generator, *, dies: bool) -> Sound:
    """A recorded engine, played slower or faster as it comes up, flares, settles and may die; power 1."""
    tail_s = rng.uniform(0.15, 0.8) if dies else 0.0
    time = np.arange(int((seconds + tail_s) * RATE_HZ)) / RATE_HZ
    idle, flare = rng.uniform(0.6, 1.3), np.exp(rng.uniform(np.log(0.8), np.log(2)))
    slow = rng.uniform(0.3, 0.9)
    speed = slow + (flare - slow) * (1 - np.exp(-time / np.exp(rng.uniform(np.log(0.05), np.log(0.9)))))
    speed += (1 - flare) * (1 - np.exp(-np.maximum(0, time - rng.uniform(0.3, 1.5)) / rng.uniform(0.3, 1.5)))
    dying = np.exp(-np.maximum(0, time - seconds) / (tail_s / 4 + 0.02))
    at = rng.uniform(0, len(loop)) + np.cumsum(idle * np.maximum(speed, 0.1) * dying)
    sound = np.interp(at % len(loop), np.arange(len(loop)), loop.astype(np.float64))
    comes = np.minimum(1, time / np.exp(rng.uniform(np.log(0.01), np.log(0.5))))
    louder = np.maximum(speed, 0.1) ** rng.uniform(0, 1.2)
    return np.asarray(unit(unit(sound) * louder) * comes * np.sqrt(dying), dtype=np.float64)

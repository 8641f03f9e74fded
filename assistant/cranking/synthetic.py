"""A maker of cranking sounds, for tests and the rehearsal. All of it is made up by formulas; nothing is recorded.

What is modelled: an electric starter whose speed sags with each compression, gear whine that follows that speed,
compression pulses with jitter and unequal cylinders, the clunk of the drive, single firings, and an engine that
catches, flares, idles and may die. `shop_noise` adds the room, the shop and the microphone.

Pulse rate of a four-stroke engine: one compression a cylinder in two turns, so rpm x cylinders / 120.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import signal

RATE_HZ = 16_000

Sound = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class CrankPlan:
    """One attempt to start. `burst_s`: starter engaged. `run_s`: how long the engine then ran; None: it did not catch.

    `weak`: index of a cylinder without much compression. `firings`: single firings that did not catch.
    `dies`: the engine stops after `run_s`; otherwise it runs to the end of the sound.
    """

    cylinders: int
    rpm: float
    burst_s: float
    run_s: float | None = None
    dies: bool = True
    weak: int | None = None
    firings: int = 0
    idle_rpm: float = 750.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CrankSound:
    """What was made. `samples`: float64, (frames,), 16 000 Hz, begins with the starter.

    `pulse_hz`: mean over the burst once the starter is up to speed.
    """

    samples: Sound
    burst_s: float
    pulse_hz: float
    rpm: float
    caught: bool
    run_s: float | None


def crank(plan: CrankPlan, rng: np.random.Generator) -> CrankSound:
    """The sound of one attempt, starter first, engine after, in quiet; its power within the burst is 1."""
    turn = _Turning(plan, rng)
    frames = int(plan.burst_s * RATE_HZ)
    sound = np.zeros(turn.total)
    starter = _starter(turn, rng)
    sound[: len(starter)] += starter
    sound[:frames] += _firings(plan, frames, rng)
    power = float(np.mean(sound[:frames] ** 2))
    if turn.catch is not None:
        engine = _engine(turn, rng)
        loud = 10 ** (rng.uniform(-2, 9) / 20) * np.sqrt(power)
        engine *= loud / (np.sqrt(np.mean(engine**2)) + 1e-12)
        sound[turn.catch : turn.catch + len(engine)] += engine[: turn.total - turn.catch]
    return CrankSound(
        samples=sound / np.sqrt(power),
        burst_s=plan.burst_s,
        pulse_hz=turn.pulse_hz,
        rpm=turn.pulse_hz * 120 / plan.cylinders,
        caught=turn.catch is not None,
        run_s=plan.run_s,
    )


class _Turning:
    """The crankshaft while the starter drives it: pulse phase and load for every sample."""

    def __init__(self, plan: CrankPlan, rng: np.random.Generator) -> None:
        self.plan = plan
        frames = int(plan.burst_s * RATE_HZ)
        held_s = float(rng.uniform(0.05, 0.3)) if plan.run_s is not None else 0.0
        self.catch = max(0, frames - int(held_s * RATE_HZ)) if plan.run_s is not None else None
        self.total = frames + int(0.4 * RATE_HZ)
        if self.catch is not None and plan.run_s is not None:
            tail = 0.6 if plan.dies else 0.0
            self.total = max(self.total, self.catch + int((plan.run_s + tail) * RATE_HZ))
        self.time = np.arange(frames) / RATE_HZ
        spin_up = 1 - np.exp(-self.time / rng.uniform(0.03, 0.09))
        sag = 1 + rng.uniform(-0.06, 0.06) * self.time / max(plan.burst_s, 4.0)
        sag += rng.uniform(0.0, 0.08) * np.exp(-self.time / 0.5) * rng.choice([-1, 1])
        hz = plan.rpm * plan.cylinders / 120 * spin_up * sag
        base = np.cumsum(hz) / RATE_HZ + rng.uniform(0, plan.cylinders)
        self.phase = _jittered(base, rng.uniform(0.005, 0.03), rng)
        settled = min(int(0.3 * RATE_HZ), frames // 2)  # the spin-up is no cranking speed
        self.pulse_hz = float((self.phase[-1] - self.phase[settled]) / (self.time[-1] - self.time[settled]))
        strength = rng.normal(1.0, rng.uniform(0.02, 0.12), plan.cylinders).clip(0.5)
        if plan.weak is not None:
            strength[plan.weak] *= rng.uniform(0.2, 0.5)
        which = np.floor(self.phase).astype(int)
        shape = np.sin(np.pi * (self.phase - which)) ** (2 * rng.uniform(1.0, 4.0))
        self.load = shape * strength[which % plan.cylinders]
        ripple = rng.uniform(0.03, 0.2)
        self.speed = spin_up * sag * (1 - ripple * signal.lfilter([1], [1, 0], self.load))


def _jittered(base: Sound, sigma: float, rng: np.random.Generator) -> Sound:
    """The phase with each pulse a little early or late, as real compressions are."""
    low, high = int(np.floor(base[0])), int(np.ceil(base[-1])) + 1
    marks = np.arange(low, high + 1, dtype=float)
    moved = marks + rng.normal(0, sigma, len(marks))
    return np.asarray(np.interp(base, marks, moved), dtype=np.float64)


def _starter(turn: _Turning, rng: np.random.Generator) -> Sound:
    frames = len(turn.time)
    teeth = rng.uniform(95, 150)
    mesh_hz = turn.plan.rpm / 60 * teeth * turn.speed
    whine = np.zeros(frames)
    for ratio, count in ((1.0, 6), (rng.uniform(2.7, 5.5), 3)):
        for k in range(1, count + 1):
            hz = mesh_hz * ratio * k
            if hz.max() < 0.45 * RATE_HZ:
                tone = np.sin(2 * np.pi * np.cumsum(hz) / RATE_HZ + rng.uniform(0, 6.28))
                whine += tone * rng.uniform(0.1, 1.0) / k
    sign = rng.choice([1.0, 1.0, -1.0])  # most starters grow louder under load, some fade as they slow
    swing = 1 + sign * rng.uniform(0.3, 0.9) * (turn.load - turn.load.mean())
    brushes = _band(rng.normal(size=frames), rng.uniform(500, 1200), rng.uniform(2500, 7000))
    chuff = _band(rng.normal(size=frames), 70, rng.uniform(250, 700)) * turn.load
    mix = rng.uniform(0.2, 1.0) * _unit(whine * swing) + rng.uniform(0.3, 1.0) * _unit(brushes * swing)
    mix = _unit(mix * np.minimum(1, turn.time / 0.03)) + rng.uniform(0.2, 1.2) * _unit(chuff)
    sound = np.concatenate([mix, np.zeros(int(0.4 * RATE_HZ))])
    _add_clunk(sound, 0, rng)
    coast = np.arange(len(sound) - frames) / RATE_HZ
    fall = np.exp(-coast / rng.uniform(0.03, 0.1))
    tone = np.sin(2 * np.pi * np.cumsum(mesh_hz[-1] * fall) / RATE_HZ)
    sound[frames:] += 0.5 * fall * (tone + 0.5 * rng.normal(size=len(coast)))
    return sound


def _add_clunk(sound: Sound, at: int, rng: np.random.Generator) -> None:
    hit = clunk(rng)
    stop = min(len(sound), at + len(hit))
    sound[at:stop] += hit[: stop - at]


def clunk(rng: np.random.Generator) -> Sound:
    """The solenoid throwing the drive, or a starter that only clicks: one knock of about 0.1 s."""
    time = np.arange(int(0.2 * RATE_HZ)) / RATE_HZ
    ring = sum(
        rng.uniform(0.3, 1) * np.exp(-time / rng.uniform(0.008, 0.03)) * np.sin(2 * np.pi * hz * time)
        for hz in rng.uniform(150, 2500, 5)
    )
    return np.asarray(1.5 * ring, dtype=np.float64)


def free_whine(seconds: float, rng: np.random.Generator) -> Sound:
    """A starter that spins without turning the engine (drive not engaged): whine, no pulses; power 1."""
    time = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    hz = rng.uniform(500, 1400) * (1 - np.exp(-time / 0.12)) * (1 + 0.01 * np.sin(2 * np.pi * 0.3 * time))
    tone = sum(rng.uniform(0.2, 1) / k * np.sin(2 * np.pi * k * np.cumsum(hz) / RATE_HZ) for k in range(1, 5))
    return _unit(_unit(np.asarray(tone)) + 0.5 * _unit(_band(rng.normal(size=len(time)), 800, 6000)))


def _firings(plan: CrankPlan, frames: int, rng: np.random.Generator) -> Sound:
    sound = np.zeros(frames)
    for _ in range(plan.firings):
        at = int(rng.uniform(0.3, 0.95) * frames)
        length = min(int(0.15 * RATE_HZ), frames - at)
        time = np.arange(length) / RATE_HZ
        bang = np.exp(-time / 0.03) * (np.sin(2 * np.pi * rng.uniform(60, 160) * time) + rng.normal(0, 0.4, length))
        sound[at : at + length] += rng.uniform(2, 4) * bang
    return sound


def _engine(turn: _Turning, rng: np.random.Generator) -> Sound:
    """The running engine from the moment it catches; dies by slowing down."""
    plan = turn.plan
    run_s = plan.run_s or 0.0
    tail_s = 0.6 if plan.dies else 0.0
    time = np.arange(int((run_s + tail_s) * RATE_HZ)) / RATE_HZ
    flare = plan.idle_rpm * rng.uniform(1.0, 2.0)
    rise = 1 - np.exp(-time / rng.uniform(0.12, 0.35))
    rpm = plan.rpm + (flare - plan.rpm) * rise
    settle = 1 - np.exp(-np.maximum(0, time - 0.6) / 0.7)
    rpm = rpm + (plan.idle_rpm - flare) * settle
    dying = np.exp(-np.maximum(0, time - run_s) / 0.12)
    return run(rpm * dying, plan.cylinders, rng) * np.minimum(1, time / 0.1) * dying


def run(rpm: Sound, cylinders: int, rng: np.random.Generator) -> Sound:
    """A running engine whose speed at each sample is `rpm`: firing pulses through an exhaust, and clatter; power 1."""
    base = np.cumsum(rpm * cylinders / 120) / RATE_HZ
    phase = _jittered(base, rng.uniform(0.005, 0.03), rng)
    which = np.floor(phase).astype(int)
    part = phase - which
    strength = rng.normal(1, rng.uniform(0.05, 0.2), cylinders).clip(0.3)[which % cylinders]
    pulse = strength * np.exp(-part * rng.uniform(3, 8))
    exhaust = signal.lfilter(*signal.iirpeak(rng.uniform(60, 200), 1.5, fs=RATE_HZ), pulse - pulse.mean())
    body = _band(pulse - pulse.mean(), 35, rng.uniform(300, 1200))
    clatter = _band(rng.normal(size=len(rpm)), 400, rng.uniform(2500, 6500)) * (0.3 + pulse)
    return _unit(rng.uniform(0.3, 1) * _unit(exhaust) + _unit(body) + rng.uniform(0.2, 1) * _unit(clatter))


def _band(sound: Sound, low_hz: float, high_hz: float) -> Sound:
    sos = signal.butter(2, [low_hz, min(high_hz, 0.49 * RATE_HZ)], "bandpass", fs=RATE_HZ, output="sos")
    return np.asarray(signal.sosfilt(sos, sound), dtype=np.float64)


def _unit(sound: Sound) -> Sound:
    return np.asarray(sound / (np.sqrt(np.mean(sound**2)) + 1e-12), dtype=np.float64)

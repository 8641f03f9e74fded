"""A second maker of cranking scenes, by other formulas than the one the ear was built with: held out, for measuring.

Here the crankshaft is solved, not drawn: the torque of a starter that falls with speed works against friction and the
gas springs of the cylinders (p V^1.3 = constant), so slowing at each compression, rocking and uneven speed come out by
themselves, and a firing cylinder pushes. The sound follows the solved speed and torque.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from assistant.bench.noises import NOISES
from assistant.cranking.scenes import Scene

RATE_HZ = 16_000
_STEP_S = 1 / 2000
_TABLE = 4096  # parts of two turns
_UP_S = 0.3  # what the starter needs to come up to speed is no cranking speed
_RUNNING_RPM = 450.0  # above 400 to 500 rpm an engine counts as running (common practice, no source)

Sound = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """`inertia`: kg m2. `friction`: N m. `stall`: starter torque at rest, at the crankshaft, N m. `free_rpm`: no load.

    `swept`: m3 a cylinder. `ratio`: of compression. `leak`: share of the gas work that a cylinder loses, each.
    """

    cylinders: int
    inertia: float
    friction: float
    stall: float
    free_rpm: float
    swept: float
    ratio: float
    leak: Sound


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The solved crankshaft, a value every 0.5 ms. `angle`: rad. `speed`: rad/s. `starter`, `push`: torques, N m."""

    angle: Sound
    speed: Sound
    starter: Sound
    push: Sound


def draw_car(rng: np.random.Generator) -> Car:
    """An invented engine of 3 to 8 cylinders and its starter."""
    cylinders = int(rng.integers(3, 9))
    leak = rng.uniform(0.0, 0.12, cylinders)
    if rng.random() < 0.2:
        leak[rng.integers(cylinders)] = rng.uniform(0.4, 0.8)
    return Car(
        cylinders=cylinders,
        inertia=float(rng.uniform(0.12, 0.35)),
        friction=float(rng.uniform(12, 45)),
        stall=float(rng.uniform(120, 420)),
        free_rpm=float(rng.uniform(140, 480)),
        swept=float(rng.uniform(0.00025, 0.0006)),
        ratio=float(rng.uniform(8.0, 11.5)),
        leak=leak,
    )


def solve(car: Car, burst_s: float, catch_s: float | None, stop_s: float, rng: np.random.Generator) -> Course:
    """The crankshaft from rest. The starter works for `burst_s`; the engine fires from `catch_s` to `stop_s`."""
    count = int((stop_s + 0.8 if catch_s is not None else burst_s + 0.5) / _STEP_S)
    angle, speed, starter, push = (np.zeros(count) for _ in range(4))
    theta, omega = float(rng.uniform(0, 4 * np.pi)), 0.0
    full = car.free_rpm * np.pi / 30
    idle = float(rng.uniform(650, 1000)) * np.pi / 30
    springs, fired = (list(map(float, one)) for one in _gas_torques(car))
    per_rad = _TABLE / (4 * np.pi)
    for n in range(count):
        at = n * _STEP_S
        fire = 0.0
        if catch_s is not None and catch_s <= at < stop_s:
            # Mixture for the speed that is wanted: much while it comes up, little at idle.
            wanted = idle * (1 + 0.6 * math.exp(catch_s - at))
            fire = min(1.8, max(0.05, 0.3 + 0.04 * (wanted - omega)))
        here = int(theta * per_rad) % _TABLE
        drive = max(0.0, car.stall * (1 - omega / full)) if at < burst_s else 0.0
        drag = car.friction * (1 + omega / 150) * math.tanh(omega / 0.5)
        omega = max(-2.0, omega + (springs[here] + fire * fired[here] + drive - drag) / car.inertia * _STEP_S)
        theta += omega * _STEP_S
        angle[n], speed[n], starter[n], push[n] = theta, omega, drive, fire
    return Course(angle=angle, speed=speed, starter=starter, push=push)


def _gas_torques(car: Car) -> tuple[Sound, Sound]:
    """Torque of all gas springs at each part of two turns, and what full firing adds to it, N m. (_TABLE,) each."""
    theta = np.arange(_TABLE) / _TABLE * 4 * np.pi
    springs, fired = np.zeros(_TABLE), np.zeros(_TABLE)
    for number in range(car.cylinders):
        phi = (theta - number * 4 * np.pi / car.cylinders + 2 * np.pi) % (4 * np.pi) - 2 * np.pi  # 0 at the top
        closed = np.abs(phi) < np.pi
        volume = 1 / car.ratio + (1 - 1 / car.ratio) * 0.5 * (1 - np.cos(phi))
        over_pa = 0.75e5 * (volume**-1.3 - 1) * (1 - car.leak[number] * np.where(phi > 0, 1.0, 0.3)) * closed
        arm = np.sin(phi) * car.swept / 2
        springs += over_pa * arm
        fired += over_pa * arm * (phi > 0) * np.exp(-np.clip(phi, 0, 4))
    return springs, fired


def make_variant(rng: np.random.Generator, *, snr_db: float | None = None, noise: str | None = None) -> Scene:
    """One scene: SNR 0 to 20 dB within the burst, any noise of the hearing bench, 60 to 350 rpm, 1 to 15 s."""
    caught = bool(rng.random() < 0.35)
    while True:
        car = draw_car(rng)
        burst_s = float(rng.uniform(1, 15))
        held_s = float(rng.uniform(0.05, 0.35))
        run_s = float(rng.uniform(0.8, 8))
        catch_s = burst_s - held_s if caught else None
        course = solve(car, burst_s, catch_s, burst_s + run_s, rng)
        settled, last = int(_UP_S / _STEP_S), int((burst_s - (held_s if caught else 0)) / _STEP_S) - 1
        rpm = (course.angle[last] - course.angle[settled]) / (last - settled) / _STEP_S * 30 / np.pi
        ran = course.speed[int(burst_s / _STEP_S) :].max() * 30 / np.pi > _RUNNING_RPM
        if 60 <= rpm <= 350 and ran == caught:
            break
    made = _sound(car, course, burst_s, rng)
    lead, tail = int(rng.uniform(1, 5) * RATE_HZ), int(rng.uniform(1, 5) * RATE_HZ)
    whole = np.concatenate([np.zeros(lead), made, np.zeros(tail)])
    delay = int(rng.uniform(0.004, 0.03) * RATE_HZ)
    whole[delay:] += rng.uniform(0, 0.4) * whole[:-delay]
    kind = noise or str(rng.choice(list(NOISES)))
    snr_db = float(rng.uniform(0, 20)) if snr_db is None else snr_db
    around = NOISES[kind](len(whole), rng)
    within = slice(lead, lead + int(burst_s * RATE_HZ))
    wanted = np.mean(whole[within] ** 2) / 10 ** (snr_db / 10)
    whole += around * np.sqrt(wanted / (np.mean(around[within] ** 2) + 1e-12))
    return Scene(
        pcm=_recorded(whole, rng),
        cylinders=car.cylinders,
        start_s=lead / RATE_HZ,
        end_s=lead / RATE_HZ + burst_s,
        pulse_hz=rpm * car.cylinders / 120,
        rpm=rpm,
        caught=caught,
        run_s=run_s if caught else None,
        snr_db=snr_db,
        noise=kind,
        fires_s=None if catch_s is None else lead / RATE_HZ + catch_s,
    )


def _sound(car: Car, course: Course, burst_s: float, rng: np.random.Generator) -> Sound:
    frames = int(len(course.angle) * _STEP_S * RATE_HZ)
    steps, time = np.arange(len(course.angle)) * _STEP_S, np.arange(frames) / RATE_HZ
    angle, speed, starter, push = (
        np.interp(time, steps, one) for one in (course.angle, course.speed, course.starter, course.push)
    )
    turns = angle / (2 * np.pi)
    load = starter / car.stall
    whirr = np.zeros(frames)
    for order, share in ((rng.uniform(100, 145), 1.0), (rng.uniform(230, 420), rng.uniform(0.1, 0.7))):
        for k in (1, 2, 3):
            quick = order * k * speed / (2 * np.pi) < 7000
            whirr += share / k**1.3 * np.sin(2 * np.pi * order * k * turns + rng.uniform(0, 6.28)) * quick
    loud = load ** rng.uniform(0.4, 1.2) * np.minimum(1, np.abs(speed) / 3) * (time < burst_s)
    scrape = signal.lfilter([1, -rng.uniform(0.5, 0.95)], [1], rng.standard_normal(frames))
    whirr = whirr * loud + rng.uniform(0.2, 0.8) * scrape * loud
    breath = np.zeros(frames)
    for number in range(car.cylinders):
        # The exhaust valve opens about 130 degrees after the top; the puff rings in the pipe.
        phase = (angle - number * 4 * np.pi / car.cylinders - 2.3) % (4 * np.pi)
        breath += np.exp(-phase * rng.uniform(2, 4)) * (1 - car.leak[number]) * np.minimum(1, np.abs(speed) / 3)
    puff = signal.lfilter([1.0], [1, -1.95, 0.957], np.diff(breath, prepend=0.0))
    air = signal.lfilter([0.12], [1, -0.88], rng.standard_normal(frames)) * breath
    parts = [whirr / _power(whirr), rng.uniform(0.3, 1) * puff / _power(puff), rng.uniform(0.3, 1) * air / _power(air)]
    sound = np.asarray(sum(parts))
    if course.push.any():
        knock = breath * rng.standard_normal(frames) + rng.uniform(1, 3) * puff / _power(puff) * breath.std()
        knock = signal.lfilter([1, rng.uniform(-0.9, 0.3)], [1], knock) * np.clip(push, 0, 1)
        burst = slice(0, int(burst_s * RATE_HZ))
        sound += knock / _power(knock[push > 0]) * _power(sound[burst]) * 10 ** (rng.uniform(-1, 10) / 20)
    return sound


def _recorded(sound: Sound, rng: np.random.Generator) -> NDArray[np.int16]:
    """By a microphone that rounds its loudest moments off, sometimes over a telephone line."""
    if rng.random() < 0.3:
        sound = signal.sosfilt(signal.butter(4, [300, 3400], "bandpass", fs=RATE_HZ, output="sos"), sound)
    loud = np.sqrt(np.mean(sound**2)) * rng.uniform(2.5, 12)
    return np.asarray(np.round(np.tanh(sound / loud) * 32767 * rng.uniform(0.1, 0.95)), dtype=np.int16)


def _power(sound: Sound) -> float:
    return float(np.sqrt(np.mean(sound**2)) + 1e-9)

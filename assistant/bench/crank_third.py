"""A third maker of cranking scenes, by formulas of its own: only ever measured with, never learnt from nor chosen by.

The electric circuit is solved with the crankshaft: a battery sags under the current of a motor, which makes the torque
that works through gears and a freewheel against friction and the gas in the cylinders; V engines fire unevenly,
cylinders differ, diesels press harder. What cannot turn an engine is made as well: a motor that spins free, a solenoid
that clicks or chatters, and an engine without compression. `crank_third_place` has rooms, noises and telephones.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from assistant.bench.crank_third_place import AROUND, recorded, within_room
from assistant.cranking.scenes import Scene

RATE_HZ = 16_000
_STEP_S = 1 / 2000
_SETTLED_S = 0.35  # what the motor needs to come up to speed is no cranking speed
_RUNS = 450 * math.pi / 30  # rad/s: above 400 to 500 rpm an engine counts as running (common practice, no source)
_CLOSES = math.radians(130)  # crank angle before the top at which the inlet valve is shut
_AIR_PA = 1.0e5

Sound = NDArray[np.float64]


class Attempt(StrEnum):
    """What a key turned does in a scene."""

    TURNS = "turns"
    UNEVEN = "uneven"  # turns, one cylinder with at most 60 % of its compression
    LIGHT = "light"  # turns an engine without compression
    FREE = "free"  # the motor spins, the engine stands
    CLICK = "click"  # once, or once for each time that the key is turned
    CHATTER = "chatter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """An invented engine and its starter. `firing`: where in two turns each cylinder is at its top, rad.

    `holds`: share of its gas that each cylinder keeps. `swept`: m3 each. `ratio`: of compression. `inertia`: kg m2.
    `rub`: N m. `gear`: turns of the motor for one of the crankshaft. `teeth`: of the ring. `volts`, `ohm`: battery at
    rest, battery and leads and motor together. `push`: V s of the motor, its torque for each ampere.
    """

    firing: Sound
    holds: Sound
    swept: float
    ratio: float
    inertia: float
    rub: float
    gear: float
    teeth: int
    volts: float
    ohm: float
    push: float
    diesel: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """The solved course, a value each 0.5 ms. `angle`, `speed`: of the crankshaft, rad, rad/s. `amps`: of the motor.
    `motor`: its own speed, rad/s. `fires`: how hard the engine burns, 0 and more."""

    angle: Sound
    speed: Sound
    amps: Sound
    motor: Sound
    fires: Sound


def draw_engine(rng: np.random.Generator, attempt: Attempt) -> Engine:
    """Three to eight cylinders in a row or a V, one in four a diesel; as `attempt` has them."""
    cylinders = int(rng.choice([3, 4, 4, 4, 5, 6, 8]))
    diesel = bool(rng.random() < 0.25)
    firing = np.arange(cylinders) * 4 * math.pi / cylinders
    if cylinders >= 6 and rng.random() < 0.3:
        firing = firing + np.where(np.arange(cylinders) % 2, rng.uniform(0.1, 0.5), 0.0)  # banks at another angle
    holds = np.clip(1 - np.abs(rng.normal(0.03, 0.03, cylinders)), 0.85, 1.0)
    if attempt is Attempt.UNEVEN:
        holds[rng.integers(cylinders)] = rng.uniform(0.2, 0.6)
    if attempt is Attempt.LIGHT:
        holds[:] = rng.uniform(0.0, 0.06, cylinders)
    return Engine(
        firing=firing,
        holds=holds,
        swept=float(rng.uniform(0.28e-3, 0.55e-3)),
        ratio=float(rng.uniform(15, 19) if diesel else rng.uniform(9, 12)),
        inertia=float(rng.uniform(0.10, 0.30)),
        rub=float(rng.uniform(10, 35)),
        gear=float(rng.uniform(35, 60) if diesel else rng.uniform(25, 50)),
        teeth=int(rng.integers(108, 148)),
        volts=float(rng.uniform(11.4, 12.8)),
        ohm=float(rng.uniform(0.007, 0.022)),
        push=float(rng.uniform(0.009, 0.016)),
        diesel=diesel,
    )


def turn(engine: Engine, held_s: float, catch_s: float | None, stop_s: float, rng: np.random.Generator) -> Turned:
    """From rest: the key is held for `held_s`; from `catch_s` to `stop_s` the mixture burns, where it does."""
    count = int((stop_s + 0.9 if catch_s is not None else held_s + 0.7) / _STEP_S)
    angle, speed, amps, motor, fires = (np.zeros(count) for _ in range(5))
    at, turns, spin = float(rng.uniform(0, 4 * math.pi)), 0.0, 0.0
    gas = [list(map(float, one)) for one in _gas(engine)]
    parts = len(gas[0]) / (4 * math.pi)
    idle = float(rng.uniform(620, 950)) * math.pi / 30
    warmed = 1.0 + float(rng.uniform(0.0, 0.25))  # a motor that heats up, a battery that tires
    light = 1.5e-4  # inertia of the motor itself, kg m2
    burn, cycle = 0.0, -1
    for n in range(count):
        t = n * _STEP_S
        place = int(at * parts) % len(gas[0])
        if catch_s is not None and catch_s <= t < stop_s:
            if int(at / (2 * math.pi)) != cycle:  # each turn burns by itself, the first ones badly
                cycle = int(at / (2 * math.pi))
                early = rng.random() < 0.4 * math.exp(-(t - catch_s) / 0.3)
                burn = 0.0 if early else max(0.0, 0.35 + 0.05 * (idle * (1 + 0.5 * math.exp(-(t - catch_s))) - turns))
                burn = min(burn, 2.0) * float(rng.uniform(0.85, 1.15))
        else:
            burn = 0.0
        current = torque = 0.0
        if t < held_s:
            loss = engine.ohm * (1 + (warmed - 1) * min(1.0, t / 8))
            current = max(0.0, (engine.volts - engine.push * spin) / loss)
            torque = engine.push * min(current, 700.0)
        drag = engine.rub * (1 + turns / 120) * math.tanh(turns / 0.4)
        coupled = t < held_s and spin <= turns * engine.gear * 1.002
        free = torque - 0.12 - 4e-7 * spin * spin
        if coupled or spin < 1:
            inertia = engine.inertia + light * engine.gear**2
            turns += (gas[0][place] + burn * gas[1][place] + 0.82 * free * engine.gear - drag) / inertia * _STEP_S
            spin = max(0.0, turns * engine.gear) if t < held_s else spin
        else:
            turns += (gas[0][place] + burn * gas[1][place] - drag) / engine.inertia * _STEP_S
            spin = max(0.0, spin + free / light * _STEP_S) if spin > turns * engine.gear or t >= held_s else spin
            if t < held_s:
                spin = min(spin, max(spin - 40 * _STEP_S * spin, turns * engine.gear))
        turns = max(-3.0, turns)
        at += turns * _STEP_S
        angle[n], speed[n], amps[n], motor[n], fires[n] = at, turns, current, spin, burn
    return Turned(angle=angle, speed=speed, amps=amps, motor=motor, fires=fires)


def _gas(engine: Engine, parts: int = 3600) -> tuple[Sound, Sound]:
    """Torque of the gas at each part of two turns, and what burning adds to it, N m."""
    theta = np.arange(parts) / parts * 4 * math.pi
    cold, hot = np.zeros(parts), np.zeros(parts)
    area = engine.swept / 2
    for top, holds in zip(engine.firing, engine.holds, strict=True):
        phi = (theta - top + 2 * math.pi) % (4 * math.pi) - 2 * math.pi
        # Piston of a rod three and a half times the crank, so that it is quicker about the top.
        rise = 1 - np.cos(phi) + (1 - np.sqrt(1 - (np.sin(phi) / 3.5) ** 2)) * 3.5
        arm = area * (np.sin(phi) + np.sin(2 * phi) / (2 * 3.5))
        volume = 1 / (engine.ratio - 1) + rise / 2
        shut = volume[np.argmin(np.abs(phi + _CLOSES))]
        closed = (phi > -_CLOSES) & (phi < _CLOSES)
        back = np.where(phi > 0, 0.93, 1.0)  # heat lost to cold walls
        over = _AIR_PA * ((shut / volume) ** 1.32 - 1) * holds * back * closed
        cold += over * arm
        hot += 1.3 * over * arm * (phi > 0) * np.exp(-phi.clip(0, 4) * 0.8)
    return cold, hot


def make_third(
    rng: np.random.Generator,
    *,
    attempt: Attempt | None = None,
    snr_db: float | None = None,
    noise: str | None = None,
) -> Scene:
    """One scene, 1 to 10 s, 60 to 350 rpm, one in three catches; SNR 0 to 20 dB within the burst unless given."""
    attempt = attempt or (Attempt.UNEVEN if rng.random() < 0.15 else Attempt.TURNS)
    engine = draw_engine(rng, attempt)
    if attempt in (Attempt.TURNS, Attempt.UNEVEN, Attempt.LIGHT):
        engine, made = _an_attempt(engine, attempt, rng)
    else:
        made = _no_attempt(engine, attempt, rng)
    lead, tail = int(rng.uniform(1.5, 5) * RATE_HZ), int(rng.uniform(1, 4) * RATE_HZ)
    whole = within_room(np.concatenate([np.zeros(lead), made.sound, np.zeros(tail)]), rng)
    span = slice(lead, lead + max(1, int(made.end_s * RATE_HZ)))
    kind = noise or str(rng.choice(list(AROUND)))
    snr_db = float(rng.uniform(0, 20)) if snr_db is None else snr_db
    around = AROUND[kind](len(whole), rng)
    loud = (
        np.mean(np.sort(whole[span] ** 2)[-int(0.3 * RATE_HZ) :])
        if attempt in (Attempt.CLICK, Attempt.CHATTER)
        else np.mean(whole[span] ** 2)
    )
    level = max(float(np.mean(around[span] ** 2)), 0.5 * float(np.mean(around**2)))
    whole = whole + around * math.sqrt(float(loud) / 10 ** (snr_db / 10) / (level + 1e-12))
    return Scene(
        pcm=recorded(whole, rng),
        cylinders=len(engine.firing),
        start_s=lead / RATE_HZ,
        end_s=lead / RATE_HZ + made.end_s,
        pulse_hz=made.pulse_hz,
        rpm=made.pulse_hz * 120 / len(engine.firing),
        caught=made.run_s is not None,
        run_s=made.run_s,
        snr_db=snr_db,
        noise=kind,
        fires_s=None if made.fires_s is None else lead / RATE_HZ + made.fires_s,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """A sound that begins with the key. `end_s`: the key let go, or the engine taking over, whichever is first."""

    sound: Sound
    end_s: float
    pulse_hz: float
    run_s: float | None = None
    fires_s: float | None = None


def _an_attempt(engine: Engine, attempt: Attempt, rng: np.random.Generator) -> tuple[Engine, _Made]:
    low, high = (150, 520) if attempt is Attempt.LIGHT else (60, 350)
    catches = attempt is Attempt.TURNS and rng.random() < 0.35
    for _ in range(200):
        held_s, run_s = float(rng.uniform(1, 10)), float(rng.uniform(0.9, 7))
        over_s = float(rng.uniform(0.1, 0.5))  # that the key is held once the engine runs
        catch_s = max(0.6, held_s - over_s - 0.25) if catches else None
        course = turn(engine, held_s, catch_s, held_s + run_s, rng)
        last = int((held_s if catch_s is None else catch_s) / _STEP_S) - 1
        settled = int(_SETTLED_S / _STEP_S)
        if last - settled < 100:
            continue
        rpm = (course.angle[last] - course.angle[settled]) / (last - settled) / _STEP_S * 30 / math.pi
        took = np.flatnonzero(course.speed[last:] > _RUNS) if attempt is not Attempt.LIGHT else np.zeros(0, int)
        runs_on = len(took) > 1000
        if low <= rpm <= high and runs_on == catches:
            end_s = held_s if not catches else min(held_s, (last + int(took[0])) * _STEP_S)
            hz = float(rpm) * len(engine.firing) / 120
            ran_s = held_s + run_s - end_s if catches else None
            sound = _sound(engine, course, held_s, rng)
            return engine, _Made(sound=sound, end_s=end_s, pulse_hz=hz, run_s=ran_s, fires_s=catch_s)
        engine = replace(draw_engine(rng, attempt))
    raise ValueError("no engine of the wished speed was drawn")


def _no_attempt(engine: Engine, attempt: Attempt, rng: np.random.Generator) -> _Made:
    """What is heard where nothing turns the engine."""
    if attempt is Attempt.FREE:
        held_s = float(rng.uniform(1, 5))
        time = np.arange(int((held_s + 0.9) * RATE_HZ)) / RATE_HZ
        top = engine.volts / engine.push * rng.uniform(0.75, 0.95)
        spin = top * (1 - np.exp(-time / rng.uniform(0.04, 0.15)))
        spin *= np.exp(-np.maximum(0, time - held_s) / rng.uniform(0.1, 0.4))
        amps = np.where(time < held_s, 60 + 500 * np.exp(-time / 0.05), 0.0)
        sound = _motor(engine, spin, amps, np.zeros(len(time)), rng)
        hit = _clack(rng)
        sound[: len(hit)] += rng.uniform(1, 6) * _rms(sound) / np.abs(hit).max() * hit
        return _Made(sound=sound, end_s=held_s, pulse_hz=0.0)
    if attempt is Attempt.CLICK:
        times = np.cumsum([0.0, *rng.uniform(1.6, 3.0, int(rng.integers(0, 3)))])
    else:
        held_s, hz = float(rng.uniform(0.8, 4)), float(rng.uniform(6, 18))
        times = np.cumsum(1 / (hz * rng.uniform(0.8, 1.25, int(held_s * hz))))
    sound = np.zeros(int((times[-1] + 0.4) * RATE_HZ))
    hit = _clack(rng)
    for at in times:
        first = int(at * RATE_HZ)
        again = hit * rng.uniform(0.6, 1.2)
        sound[first : first + len(again)] += again[: len(sound) - first]
    return _Made(sound=sound, end_s=float(times[-1]) + 0.15, pulse_hz=0.0)


def _sound(engine: Engine, course: Turned, held_s: float, rng: np.random.Generator) -> Sound:
    frames = int(len(course.angle) * _STEP_S * RATE_HZ)
    steps, time = np.arange(len(course.angle)) * _STEP_S, np.arange(frames) / RATE_HZ
    angle, speed, amps, motor, fires = (
        np.interp(time, steps, one) for one in (course.angle, course.speed, course.amps, course.motor, course.fires)
    )
    held = slice(0, int(held_s * RATE_HZ))
    whirr = _motor(engine, motor, amps, angle, rng)
    breath = _breath(engine, angle, speed, rng)
    ticks = _ticks(angle, speed, rng)
    sound = whirr / _rms(whirr[held])
    sound += rng.uniform(0.3, 1.1) * breath + rng.uniform(0.05, 0.3) * ticks / _rms(ticks[held])
    if fires.max() > 0:
        burns = _burning(engine, angle, speed, fires, rng)
        on = fires > 0.02
        sound += burns / _rms(burns[on]) * _rms(sound[held]) * 10 ** (rng.uniform(0, 10) / 20)
    clack = _clack(rng)
    sound[: len(clack)] += 1.5 * _rms(sound[held]) / (np.abs(clack).max() + 1e-9) * clack[: len(sound)] * 2
    body = sum(rng.uniform(0.2, 0.8) * signal.lfilter(*signal.iirpeak(hz, 2.5, fs=RATE_HZ), sound)
               for hz in rng.uniform(120, 3000, 3))  # fmt: skip
    return np.asarray(sound + body, dtype=np.float64)


def _motor(engine: Engine, motor: Sound, amps: Sound, angle: Sound, rng: np.random.Generator) -> Sound:
    """Gears and brushes: tones that follow the motor, as loud as it is loaded; a ring that runs out of true."""
    load = (amps / 250).clip(0, 2) ** rng.uniform(0.5, 1.0) * np.minimum(1.0, motor / 40)
    true = 1 + rng.uniform(0.05, 0.35) * np.cos(angle + rng.uniform(0, 6.28))
    spun = np.cumsum(motor) / RATE_HZ
    sound = np.zeros(len(motor))
    for teeth, share in ((engine.teeth / engine.gear, 1.0), (rng.integers(17, 29), 0.5), (rng.integers(2, 5) * 2, 0.3)):
        for k in range(1, 5):
            hz = motor * teeth * k / (2 * math.pi)
            wave = np.sin(k * teeth * spun + rng.uniform(0, 6.28)) * (hz < 7200)
            sound += rng.uniform(0.3, 1.0) * share / k * wave
    brushes = np.diff(rng.standard_normal(len(motor) + 1)) * (0.5 + 0.5 * np.cos(rng.integers(18, 30) * spun))
    coast = 0.25 * np.minimum(1.0, motor / 600) * (amps <= 0)
    return np.asarray((sound * true + rng.uniform(0.2, 0.9) * brushes) * (load + coast), dtype=np.float64)


def _breath(engine: Engine, angle: Sound, speed: Sound, rng: np.random.Generator) -> Sound:
    """Air pressed past rings and out of valves: noise that swells with the pressure in each cylinder, and puffs."""
    air = signal.lfilter(*signal.butter(2, rng.uniform(900, 3000), fs=RATE_HZ), rng.standard_normal(len(angle)))
    swell, puffs, all_swell, all_puffs = np.zeros((4, len(angle)))
    opens = rng.uniform(2.2, 2.6)
    for top, holds in zip(engine.firing, engine.holds, strict=True):
        phi = (angle - top + 2 * math.pi) % (4 * math.pi) - 2 * math.pi
        pressed, puff = np.exp(-(phi**2) / 0.5), np.where(phi > opens, np.exp(-(phi - opens) * 3.0), 0.0)
        swell, all_swell = swell + holds * pressed, all_swell + pressed
        puffs, all_puffs = puffs + (0.1 + 0.9 * holds) * puff, all_puffs + puff
    moving = np.minimum(1.0, np.abs(speed) / 4)
    pipe = signal.iirpeak(rng.uniform(70, 180), 1.2, fs=RATE_HZ)

    def rung(flow: Sound) -> Sound:
        return np.asarray(signal.lfilter(*pipe, np.diff(flow, prepend=0.0)), dtype=np.float64)

    sound = np.zeros(len(angle))
    for part, whole in ((swell * air, all_swell * air), (puffs * air, all_puffs * air), (rung(puffs), rung(all_puffs))):
        sound += rng.uniform(0.3, 1.0) * part * moving / _rms(whole * moving)  # as loud as it is tight
    return sound


def _ticks(angle: Sound, speed: Sound, rng: np.random.Generator) -> Sound:
    """Valves and chain: small taps at places of the turn, whatever is in the cylinders."""
    taps = np.zeros(len(angle))
    for place in rng.uniform(0, 4 * math.pi, 12):
        passed = np.floor((angle - place) / (4 * math.pi))
        taps[1:] += np.maximum(0, np.diff(passed)) * rng.uniform(0.4, 1.0)
    ring = np.exp(-np.arange(160) / rng.uniform(15, 40)) * rng.standard_normal(160)
    rub = 0.05 * rng.standard_normal(len(angle))
    return np.asarray(signal.oaconvolve(taps, ring)[: len(angle)] + rub * np.minimum(1, np.abs(speed) / 10))


def _burning(engine: Engine, angle: Sound, speed: Sound, fires: Sound, rng: np.random.Generator) -> Sound:
    """Exhaust strokes and, in a diesel, the knock of each charge."""
    blast, knock = np.zeros(len(angle)), np.zeros(len(angle))
    for number, top in enumerate(engine.firing):
        phi = (angle - top) % (4 * math.pi)
        hard = rng.uniform(0.85, 1.15) * engine.holds[number]
        blast += hard * np.where(phi > 2.4, np.exp(-(phi - 2.4) * 2.2), 0.0)
        knock += hard * np.where(phi < 2.0, np.exp(-phi * rng.uniform(6, 10)), 0.0)
    rough = rng.standard_normal(len(angle))
    deep = signal.lfilter(*signal.iirpeak(rng.uniform(45, 150), 1.0, fs=RATE_HZ), np.diff(blast, prepend=0.0))
    hiss = signal.lfilter(*signal.butter(1, rng.uniform(600, 2000), fs=RATE_HZ), rough) * blast
    rap = signal.lfilter(*signal.butter(2, [900, 4200], "bandpass", fs=RATE_HZ), rough) * knock
    shares = (1.0, rng.uniform(0.3, 0.9), rng.uniform(0.8, 2.0) if engine.diesel else rng.uniform(0.05, 0.3))
    on = fires > 0.02
    sound = sum(share * one / _rms(one[on]) for share, one in zip(shares, (deep, hiss, rap), strict=True))
    return np.asarray(sound * np.minimum(1.0, fires) * np.minimum(1.0, speed / 20), dtype=np.float64)


def _clack(rng: np.random.Generator) -> Sound:
    """The solenoid throwing its bolt: two blows a few milliseconds apart, each ringing in several ways."""
    time = np.arange(int(0.18 * RATE_HZ)) / RATE_HZ
    one = sum(rng.uniform(0.2, 1) * np.exp(-time * rng.uniform(25, 140)) * np.sin(2 * math.pi * hz * time)
              for hz in rng.uniform(180, 4200, 7))  # fmt: skip
    later = int(rng.uniform(0.004, 0.02) * RATE_HZ)
    return np.asarray(one + 0.6 * np.concatenate([np.zeros(later), one[:-later]]), dtype=np.float64)


def _rms(sound: Sound) -> float:
    return float(np.sqrt(np.mean(sound**2)) + 1e-9) if len(sound) else 1e-9

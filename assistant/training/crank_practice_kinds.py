"""Stretches to learn kinds from: starters of `crank_practice`, and by widely drawn formulas what turns nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from assistant.cranking import shop_noise
from assistant.cranking.description import described
from assistant.cranking.judge import odds_of, weigh
from assistant.cranking.layers import ENGINE, StarterLayers
from assistant.cranking.levels import HOP, levels_of
from assistant.cranking.likely import LEAST_BEFORE, ODD_LEAST, ODD_RISE_DB
from assistant.cranking.model import Kind
from assistant.cranking.stretches import StretchFinder
from assistant.cranking.synthetic import RATE_HZ, Sound, clunk
from assistant.training.crank_practice import make_practice
from assistant.training.crank_practice_noise import Noise, band, jittered, made_up, some_noise, source, unit
from assistant.training.crank_practice_place import recorded

ASKED, LEAST_SURE = 2.0, 0.2
"""Log-odds of a starter where a step asks for one, as a session has it; what the ear hardly believes is no example."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """A stretch as it is described, and what it was."""

    kind: Kind
    numbers: NDArray[Any]


def free_spin(rng: np.random.Generator) -> Sound:
    """A motor that turns nothing: a few tones at any pitch that come up, stay and run out, on more or less hiss."""
    seconds, out = rng.uniform(0.7, 5), rng.uniform(0.05, 0.5)
    time = np.arange(int((seconds + 3 * out) * RATE_HZ)) / RATE_HZ
    glide = (1 - np.exp(-time / rng.uniform(0.02, 0.25))) * np.exp(-np.maximum(0, time - seconds) / out)
    glide *= 1 + rng.uniform(0, 0.03) * np.sin(2 * np.pi * rng.uniform(0.2, 6) * time)
    tones = np.zeros(len(time))
    for _ in range(int(rng.integers(1, 4))):
        hz = rng.uniform(150, 2500)
        for k in range(1, int(rng.integers(2, 8))):
            if hz * k < 7000:
                tones += rng.uniform(0.1, 1) / k * np.sin(2 * np.pi * np.cumsum(hz * k * glide) / RATE_HZ)
    low_hz = rng.uniform(200, 2500)
    hiss = unit(band(rng.standard_normal(len(time)), low_hz, min(7500, low_hz * rng.uniform(2, 8))))
    loud = np.where(time < seconds, 1.0, rng.uniform(0.1, 0.5) * np.exp(-np.maximum(0, time - seconds) / out))
    sound = (unit(tones) + 10 ** (rng.uniform(-20, 3) / 20) * hiss) * loud * np.minimum(1, glide * 2)
    hit = clunk(rng) * rng.uniform(0, 1.5)
    sound[: len(hit)] += hit[: len(sound)]
    return unit(sound)


def blow(rng: np.random.Generator) -> Sound:
    """A knock of metal: a few modes of any pitch that ring for 3 to 60 ms, at times twice in a row."""
    time = np.arange(int(0.25 * RATE_HZ)) / RATE_HZ
    sound = np.zeros(len(time))
    longest = rng.uniform(0.008, 0.06)
    for hz in np.exp(rng.uniform(np.log(100), np.log(6000), int(rng.integers(3, 10)))):
        ring = np.exp(-time / rng.uniform(0.003, longest))
        sound += rng.uniform(0.2, 1) * ring * np.sin(2 * np.pi * hz * time + rng.uniform(0, 6))
    sound += rng.uniform(0, 2) * np.exp(-time / rng.uniform(0.002, 0.02)) * rng.standard_normal(len(time))
    if rng.random() < 0.4:
        later = int(rng.uniform(0.003, 0.03) * RATE_HZ)
        sound[later:] += rng.uniform(0.3, 1) * sound[: len(sound) - later]
    return unit(sound)


def chatter(rng: np.random.Generator) -> Sound:
    """A solenoid that lets go as soon as it pulls: 4 to 25 uneven blows a second, some with a buzz."""
    hz, uneven = rng.uniform(4, 25), rng.uniform(0, 0.3)
    times = np.cumsum(1 / (hz * rng.uniform(1 - uneven, 1 + uneven, int(rng.uniform(0.6, 4) * hz) + 2)))
    sound = np.zeros(int((times[-1] + 0.3) * RATE_HZ))
    hits = [blow(rng), blow(rng)]
    for at in times:
        hit = hits[int(rng.random() < 0.4)] * rng.uniform(0.5, 1.2)
        first = int(at * RATE_HZ)
        sound[first : first + len(hit)] += hit[: len(sound) - first]
    buzz = unit(band(rng.standard_normal(len(sound)), 100, rng.uniform(400, 3000)))
    return unit(unit(sound) + 10 ** (rng.uniform(-40, -8) / 20) * buzz)


def clicks(rng: np.random.Generator) -> Sound:
    """One blow."""
    return unit(np.concatenate([blow(rng), np.zeros(int(0.1 * RATE_HZ))]))


def light_turn(rng: np.random.Generator) -> Sound:
    """A starter that turns an engine without compression: sources at orders of an even crankshaft, valves that tap.

    The current, and with it the noise of the gears, falls from its first rush to little, since little is to be done; a
    rest of compression may ripple the speed a little; after the key motor and crankshaft run out.
    """
    seconds, rpm, out = rng.uniform(0.8, 10), rng.uniform(110, 520), np.exp(rng.uniform(np.log(0.03), np.log(0.5)))
    time = np.arange(int((seconds + 3 * out) * RATE_HZ)) / RATE_HZ
    after = np.maximum(0, time - seconds)
    glide = (1 - np.exp(-time / np.exp(rng.uniform(np.log(0.02), np.log(0.35))))) * np.exp(-after / out)
    once = 1 + rng.uniform(0, 0.04) * np.sin(2 * np.pi * rpm / 60 * time + rng.uniform(0, 6))
    strokes = rng.choice([1.0, 1.5, 2.0, 2.5, 3.0, 4.0]) * rpm / 60
    once += rng.choice([0.0, rng.uniform(0, 0.015)]) * np.sin(2 * np.pi * strokes * time)
    turns = np.cumsum(rpm / 60 * glide * once) / RATE_HZ
    rush = 1 + rng.uniform(0, 3) * np.exp(-time / rng.uniform(0.05, 0.6))
    tonal = rng.choice([0.1, 0.45, 0.45, 0.9])
    sound = np.zeros(len(time))
    for _ in range(int(rng.integers(2, 6))):
        slow = 1 + rng.uniform(0, 0.4) * np.cos(2 * np.pi * turns / int(rng.choice([1, 1, 2])) + rng.uniform(0, 6))
        loaded = rush if rng.random() < 0.6 else 1.0
        sound += rng.uniform(0.15, 1) * unit(source(turns, rng, tonal)) * slow * loaded
    taps = np.zeros(len(time))
    for place in rng.uniform(0, 2, int(rng.integers(0, 17))):
        taps[1:] += np.maximum(0, np.diff(np.floor((turns - place) / 2))) * rng.uniform(0.3, 1)
    hit = clunk(rng)[: int(0.03 * RATE_HZ)]
    loud = np.where(after > 0, rng.uniform(0.05, 0.6) * np.exp(-after / out), 1.0)
    sound = unit(sound) * loud * np.minimum(1, glide * 3)
    sound += rng.uniform(0, 0.4) * unit(signal.oaconvolve(taps, hit)[: len(time)])
    first = clunk(rng) * rng.uniform(0, 1.5)
    sound[: len(first)] += first[: len(sound)]
    return unit(sound)


MAKERS = {Kind.LIGHT: light_turn, Kind.WHINE: free_spin, Kind.CHATTER: chatter, Kind.CLUNK: clicks}


def machines(frames: int, rng: np.random.Generator) -> Sound:
    """A machine that runs now and then: strokes at any pace, tones that go with them, air; quick or slow to come up,
    bogged down or revved, and steady or dying away at the end."""
    sound, at = rng.uniform(0, 0.1) * rng.standard_normal(frames), int(rng.uniform(0, 4) * RATE_HZ)
    pace, orders = np.exp(rng.uniform(np.log(4), np.log(220))), np.exp(rng.uniform(0, np.log(60), 3))
    lasts, rests = np.sort(np.exp(rng.uniform(np.log(0.3), np.log(20), 2))), rng.uniform(0.3, 8)
    shares = rng.uniform(0, 1, 3) * (rng.random(3) < 0.7) + np.array([0.0, 0.0, 0.1])
    up, down = np.exp(rng.uniform(np.log(0.02), np.log(1))), np.exp(rng.uniform(np.log(0.02), np.log(0.6)))
    loaded = rng.uniform(0, 0.6)
    sharp, strokes = rng.uniform(1, 14), rng.uniform(0.3, 1, int(rng.integers(1, 9)))
    low_hz = np.exp(rng.uniform(np.log(40), np.log(3000)))
    ring = signal.iirpeak(rng.uniform(50, 3000), rng.uniform(0.7, 4), fs=RATE_HZ)
    while at < frames - RATE_HZ // 4:
        count = min(int(rng.uniform(*lasts) * RATE_HZ) + RATE_HZ // 5, frames - at)
        time = np.arange(count) / RATE_HZ
        left = time[-1] - time
        points = int(rng.integers(2, 8))
        load = np.interp(time, np.linspace(0, time[-1], points), rng.uniform(1 - loaded, 1 + loaded, points))
        course = load * (1 - np.exp(-time / up)) * (1 - np.exp(-left / down)) + 0.02
        turns = np.cumsum(pace * course) / RATE_HZ
        phase = jittered(turns, float(rng.choice([0.002, 0.02, 0.08])), rng)
        train = np.exp(-(phase % 1) * sharp) * strokes[np.floor(phase).astype(int) % len(strokes)]
        blast = unit(signal.lfilter(*ring, np.diff(train, prepend=0.0)))
        blast += rng.uniform(0, 2) * unit(train * band(rng.standard_normal(count), low_hz, low_hz * 6))
        tone = np.zeros(count)
        for order in orders:
            for k in range(1, 4):
                if order * k * pace * (1 + loaded) < 7500:
                    tone += rng.uniform(0.1, 1) / k * np.sin(2 * np.pi * order * k * turns)
        air = unit(band(rng.standard_normal(count), low_hz, low_hz * 8))
        one = shares[0] * blast + shares[1] * unit(tone) + shares[2] * air
        sound[at : at + count] += rng.uniform(0.4, 1.2) * unit(one) * np.minimum(1, course * 2)
        at += count + int(rng.uniform(0.2, 1) * rests * RATE_HZ)
    return sound


def noises() -> dict[str, tuple[Noise, float]]:
    """What may be heard beside a starter, or without one."""
    return made_up() | {"machines": (machines, 8.0)}


def examples(rng: np.random.Generator, kind: Kind, layers: StarterLayers) -> list[Example]:
    """Stretches of one scene that the ear may take for a starter: those of `kind`, and of what else is in it."""
    if kind in MAKERS:
        pcm, spans = _odd(kind, rng)
        return stretches_of(pcm, kind, [Truth(start=first, stop=last) for first, last in spans], layers)
    if kind is Kind.OTHER:
        return stretches_of(_nothing(rng), kind, [], layers)
    made = make_practice(rng, noises())
    spans = [(first // HOP, stop // HOP) for first, stop in made.bursts]
    runs = [int(np.sum(made.parts[stop : stop + 8 * RATE_HZ] == ENGINE)) // HOP for _, stop in made.bursts]
    truths = [Truth(start=first, stop=last, ran=ran) for (first, last), ran in zip(spans, runs, strict=True)]
    return stretches_of(made.pcm, kind, truths, layers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """One time that the key was turned, in levels. `ran`: for how many an engine ran then."""

    start: int
    stop: int
    ran: int = 0


def stretches_of(pcm: NDArray[np.int16], kind: Kind, truths: Sequence[Truth], layers: StarterLayers) -> list[Example]:
    """What a step that waits for the starter would have judged in this sound, in which only `kind` is a starter's."""
    levels = levels_of(pcm)
    odds = odds_of(levels, pcm, layers)
    finder = StretchFinder()
    stretches = sorted([*finder.feed(levels)[1], *finder.finish()], key=lambda one: one.start)
    weighed = weigh(levels, pcm, odds, stretches, cylinders=None, expected=ASKED)
    cases = [one for one in weighed if one.confidence > LEAST_SURE and one.start >= LEAST_BEFORE]
    found = []
    for case in cases:
        what = what_it_was(kind, (case.start, case.stop), truths)
        if what is not None:
            believed = case.believed - ASKED
            found.append(Example(kind=what, numbers=described(levels, pcm, odds, (case.start, case.stop), believed)))
    for one in stretches:
        span = one.start, one.stop or one.start
        if one.rise_db < ODD_RISE_DB or span[1] - span[0] < ODD_LEAST or span[0] < LEAST_BEFORE:
            continue
        what = what_it_was(kind, span, truths)
        if what is not None:
            found.append(Example(kind=what, numbers=described(levels, pcm, odds, span)))
    return found


def what_it_was(kind: Kind, span: tuple[int, int], truths: Sequence[Truth]) -> Kind | None:
    """What a stretch is; None where it is neither one nor the other."""
    start, stop = span

    def shared(one: Truth, ran: int) -> int:
        return min(stop, one.stop + ran) - max(start, one.start)

    own = max(truths, key=lambda one: shared(one, 0), default=None)
    if own is None or shared(own, own.ran) < 0.1 * (stop - start):
        return Kind.OTHER
    turned = shared(own, 0) > 0.2 * min(stop - start, own.stop - own.start)
    return kind if turned and shared(own, own.ran) > 0.7 * (stop - start) else None


def _nothing(rng: np.random.Generator) -> NDArray[np.int16]:
    """Half a minute without a starter: two or three noises over each other."""
    frames = int(rng.uniform(20, 40)) * RATE_HZ
    sound = np.zeros(frames)
    for _ in range(int(rng.integers(1, 4))):
        sound += 10 ** (rng.uniform(-25, 0) / 20) * unit(some_noise(frames, rng, noises()))
    return recorded(shop_noise.room(sound, rng) if rng.random() < 0.7 else sound, rng)


def _odd(kind: Kind, rng: np.random.Generator) -> tuple[NDArray[np.int16], list[tuple[int, int]]]:
    lead = int(rng.uniform(1.5, 4) * RATE_HZ)
    made = MAKERS[kind](rng)
    sound = np.concatenate([np.zeros(lead), made, np.zeros(int(rng.uniform(1, 3) * RATE_HZ))])
    snr_db = rng.uniform(0, 25)
    loud = np.mean(np.sort(made**2)[-int(0.3 * RATE_HZ) :])
    sound = shop_noise.room(sound, rng) if rng.random() < 0.7 else sound
    around = some_noise(len(sound), rng, noises())
    sound = sound / np.sqrt(loud) + unit(around) * 10 ** (-snr_db / 20)
    return recorded(sound, rng), [(lead // HOP, (lead + len(made)) // HOP)]

"""Stretches to learn kinds from: starters of `crank_practice`, and by widely drawn formulas what turns nothing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from assistant.cranking import shop_noise
from assistant.cranking.judge import odds_of
from assistant.cranking.kinds import described
from assistant.cranking.layers import ELSE, STARTER, StarterLayers
from assistant.cranking.levels import HOP, levels_of
from assistant.cranking.model import Kind
from assistant.cranking.stretches import StretchFinder
from assistant.cranking.synthetic import RATE_HZ, Sound, clunk
from assistant.cranking.traits import STEP
from assistant.training.crank_practice import make_practice
from assistant.training.crank_practice_noise import band, made_up, some_noise, source, unit
from assistant.training.crank_practice_place import recorded

Example = tuple[NDArray[np.float32], Kind]


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
    """A starter that turns an engine without compression: sources at orders of an even crankshaft, valves that tap."""
    seconds, rpm = rng.uniform(1, 10), rng.uniform(110, 480)
    time = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    once = 1 + rng.uniform(0, 0.04) * np.sin(2 * np.pi * rpm / 60 * time + rng.uniform(0, 6))
    turns = np.cumsum(rpm / 60 * (1 - np.exp(-time / rng.uniform(0.02, 0.3))) * once) / RATE_HZ
    tonal = rng.choice([0.1, 0.45, 0.45, 0.9])
    sound = np.zeros(len(time))
    for _ in range(int(rng.integers(2, 6))):
        slow = 1 + rng.uniform(0, 0.4) * np.cos(2 * np.pi * turns / int(rng.choice([1, 1, 2])) + rng.uniform(0, 6))
        sound += rng.uniform(0.15, 1) * unit(source(turns, rng, tonal)) * slow
    taps = np.zeros(len(time))
    for place in rng.uniform(0, 2, int(rng.integers(0, 17))):
        taps[1:] += np.maximum(0, np.diff(np.floor((turns - place) / 2))) * rng.uniform(0.3, 1)
    hit = clunk(rng)[: int(0.03 * RATE_HZ)]
    sound = unit(sound) + rng.uniform(0, 0.4) * unit(signal.oaconvolve(taps, hit)[: len(time)])
    first = clunk(rng) * rng.uniform(0, 1.5)
    sound[: len(first)] += first[: len(sound)]
    return unit(sound)


MAKERS = {Kind.LIGHT: light_turn, Kind.WHINE: free_spin, Kind.CHATTER: chatter, Kind.CLUNK: clicks}


def examples(rng: np.random.Generator, kind: Kind, layers: StarterLayers) -> list[Example]:
    """Stretches of one scene: those of `kind`, and of what else is in it."""
    if kind in MAKERS:
        pcm, spans = _odd(kind, rng)
    else:
        made = make_practice(rng, made_up())
        pcm, spans = made.pcm, [(first // HOP, stop // HOP) for first, stop in made.bursts]
    levels = levels_of(pcm)
    odds = odds_of(levels, pcm, layers)
    finder = StretchFinder()
    heard = [(one.start, one.stop or 0) for one in [*finder.feed(levels)[1], *finder.finish()] if one.start]
    found = []
    for first, last in spans:
        moved = first + int(rng.normal(0, 8)), min(len(levels), last + int(rng.normal(0, 8)))
        heard += [moved] if rng.random() < 0.7 else []
    for start, stop in heard:
        if stop - start < 8 or start < 20:
            continue
        shared = max((min(stop, last) - max(start, first) for first, last in spans), default=0)
        own = [last - first for first, last in spans if min(stop, last) - max(start, first) == shared]
        if shared > 0.7 * (stop - start) and (shared > 0.6 * own[0] or shared > 190):
            name = kind if kind in MAKERS else Kind.CRANK
        elif shared > 0.2 * (stop - start):
            continue  # neither one nor the other
        else:
            name = Kind.OTHER
        within = odds[start // STEP : max(start // STEP + 1, stop // STEP)]
        sure = float(np.mean(within[:, STARTER] - within[:, ELSE])) if len(within) else 0.0
        found.append((described(levels, pcm, start, stop, sure), name))
    return found


def _odd(kind: Kind, rng: np.random.Generator) -> tuple[NDArray[np.int16], list[tuple[int, int]]]:
    lead = int(rng.uniform(1.5, 4) * RATE_HZ)
    made = MAKERS[kind](rng)
    sound = np.concatenate([np.zeros(lead), made, np.zeros(int(rng.uniform(1, 3) * RATE_HZ))])
    snr_db = rng.uniform(0, 25)
    loud = np.mean(np.sort(made**2)[-int(0.3 * RATE_HZ) :])
    sound = shop_noise.room(sound, rng) if rng.random() < 0.7 else sound
    around = some_noise(len(sound), rng, made_up())
    sound = sound / np.sqrt(loud) + unit(around) * 10 ** (-snr_db / 20)
    return recorded(sound, rng), [(lead // HOP, (lead + len(made)) // HOP)]

"""How soon the ear tells of a burst while it happens: its beginning, its release, an engine that took over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from assistant.cranking.layers import StarterLayers
from assistant.cranking.live import Began, Caught, CrankEar, Dropped, Ended, Event, Released
from assistant.cranking.scenes import Scene
from assistant.ports import SAMPLE_RATE_HZ
from assistant.session.starter import EXPECTED

BLOCK = 320
START_S, END_S = 0.5, 0.3
_NEAR_S = 0.5  # an event that lies further before the truth is of something else

Make = Callable[[np.random.Generator], Scene]
Told = tuple[float, Event]


def measure_live(make: Make, count: int, seed: int, layers: StarterLayers) -> dict[str, Any]:
    """Delays over `count` scenes, heard in blocks of 20 ms; one that is not told of counts against its share."""
    starts, ends, engines, wholes, dropped, early = [], [], [], [], 0, 0
    outcomes: Counter[str] = Counter()
    for number in range(count):
        scene = make(np.random.default_rng([seed, number]))
        told = listen_live(scene, layers)
        starts.append(_late(told, (Began,), scene.start_s, lambda event: event.at_s))
        ends.append(_late(told, (Caught, Ended) if scene.caught else (Released,), scene.end_s, _end_s))
        if scene.caught:
            engines.append(ends[-1])
            ends[-1] = _late(told, (Released, Caught, Ended), scene.end_s, _end_s)
        within = (scene.start_s + _NEAR_S, scene.end_s - _NEAR_S)
        early += any(
            isinstance(event, Released | Caught) and within[0] < event.at_s < within[1] and at < scene.end_s
            for at, event in told
        )
        outcomes.update(_outcome(scene, told))
        wholes.append(any(isinstance(event, Ended) for _, event in told))
        dropped += sum(isinstance(event, Dropped) for _, event in told)
    return {
        "scenes": count,
        "bursts_right": outcomes["right"],
        "bursts_extra": outcomes["extra"],
        "no_start_scenes": outcomes["no start"],
        "no_start_told_running": outcomes["told running"],
        "engine_told_not_running": outcomes["told dead"],
        "told_whole": round(sum(wholes) / count, 4),
        "start_told_within_0.5_s": _share(starts, START_S),
        "start_late_s": _spread(starts),
        "end_told_within_0.3_s": _share(ends, END_S),
        "end_late_s": _spread(ends),
        "end_told_too_soon": early,
        "engine_told_late_s": _spread(engines),
        "taken_back": dropped,
    }


def listen_live(scene: Scene, layers: StarterLayers) -> list[Told]:
    """Everything that the ear tells of a scene, each with the second at which it was told."""
    ear = CrankEar(layers, scene.cylinders)
    ear.expected = EXPECTED  # as in a step that asks for the starter
    told: list[Told] = []
    for at in range(0, len(scene.pcm), BLOCK):
        block = scene.pcm[at : at + BLOCK]
        told += [((at + len(block)) / SAMPLE_RATE_HZ, event) for event in ear.feed(block)]
    return told + [(len(scene.pcm) / SAMPLE_RATE_HZ, event) for event in ear.finish()]


def _outcome(scene: Scene, told: Sequence[Told]) -> list[str]:
    """What was told of a scene as a technician hears it: whether the burst was right, and what was told besides."""
    ended = [event.burst for _, event in told if isinstance(event, Ended)]
    own = [one for one in ended if one.start_s < scene.end_s and one.end_s > scene.start_s]
    found = ["extra"] * (len(ended) - min(1, len(own)))
    found += [] if scene.caught else ["no start"]
    if own and own[0].caught is scene.caught:
        found.append("right")
    if not scene.caught and any(one.caught for one in own):
        found.append("told running")
    if scene.caught and own and own[0].caught is False:
        found.append("told dead")
    return found


def _late(told: Sequence[Told], kinds: tuple[type, ...], true_s: float, of: Callable[[Any], float]) -> float | None:
    """How long after the truth the first event of these kinds that is about it was told, s; None where none was."""
    found = [at for at, event in told if isinstance(event, kinds) and abs(of(event) - true_s) <= _NEAR_S]
    return found[0] - true_s if found else None


def _end_s(event: Any) -> float:
    return float(event.burst.end_s if isinstance(event, Ended) else event.at_s)


def _share(late: Sequence[float | None], most_s: float) -> float | None:
    return round(sum(one is not None and one <= most_s for one in late) / len(late), 4) if late else None


def _spread(late: Sequence[float | None]) -> dict[str, float] | None:
    known = [one for one in late if one is not None]
    if not known:
        return None
    return {name: round(float(np.quantile(known, share)), 2) for name, share in (("median", 0.5), ("95_percent", 0.95))}

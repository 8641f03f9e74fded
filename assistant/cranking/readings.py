"""The best reading of a stretch of raised sound: all of it cranking, or cranking and then the engine running."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from assistant.cranking import edges
from assistant.cranking.around import dip_db
from assistant.cranking.levels import LEVEL_RATE_HZ, Levels
from assistant.cranking.rate import comb_at, likeness, rhythm, swings
from assistant.cranking.reading import Reading, Stage
from assistant.cranking.takeover import LEAST, engine_after, split
from assistant.cranking.votes import measure

SURE_RAN = 0.45
MAY_HAVE_RUN = 0.33
"""How surely the engine ran after it: from here it did; from here it may have."""

_HEAD = 60  # levels without pulses that are no part of a burst: 0.5 s
_PLAIN_DB = 5.0  # an edge this clear stands as it is
_PAUSE = 60  # levels: 0.5 s; a silence that long is no fading between pulses
_BEFORE, _EDGE = 200, 12  # levels before a stretch that are looked at for its rhythm, and left out next to it
_BEAT_ON = 0.4
_READINGS_KEPT = 64


def read(
    levels: Levels, pcm: NDArray[np.int16], start: int, stop: int, *, cylinders: int | None = None
) -> Reading | None:
    """The best reading of the stretch: all of it cranking, or cranking and then the engine running.

    `pcm`: the sound of `levels`, int16, mono, 16 000 Hz. None when it is too short, or plainly something else.
    """
    if stop - start < LEAST or dip_db(levels[start:stop], _PAUSE) > 11:
        return None
    begins = [start]
    if start == 0:  # it was there from the first: what matters may have begun on top of it
        begins += [at for at in _changes(levels[:stop]) if at > LEAST]
    cases = [case for begin in begins if (case := _read_from(levels, pcm, begin, stop, cylinders))]
    return max(cases, key=lambda case: case.score, default=None)


class Reader:
    """Reads stretches of a stream, each once for what is heard around it: while a sound goes on, the same are asked for
    again and again. Source: in a minute of mixed sounds 388 of 593 readings were the same, and 45 % of their cost."""

    def __init__(self) -> None:
        self._known: dict[tuple[int, ...], Reading | None] = {}

    def read(
        self, levels: Levels, pcm: NDArray[np.int16], start: int, stop: int, *, cylinders: int | None, origin: int
    ) -> Reading | None:
        """As `read`. `origin`: number of the first of `levels` in the stream."""
        key = (origin, len(levels), start, stop, cylinders or 0)
        if key not in self._known:
            if len(self._known) >= _READINGS_KEPT:
                del self._known[next(iter(self._known))]
            self._known[key] = read(levels, pcm, start, stop, cylinders=cylinders)
        return self._known[key]


def _read_from(levels: Levels, pcm: NDArray[np.int16], start: int, stop: int, cylinders: int | None) -> Reading | None:
    frame = edges.find_edges(levels, start, stop)
    if frame.stop - frame.start < LEAST:
        return None
    known = rhythm(swings(levels[max(0, frame.start - 625) : frame.start - 5])) if frame.start > 300 else None
    stage = Stage(levels=levels, pcm=pcm, known=known, cylinders=cylinders)
    cases = [measure(stage, frame)]
    cases += [split(stage, frame, frame.start + at) for at in _changes(levels[frame.start : frame.stop])]
    best = max((case for case in cases if case is not None), key=lambda case: case.score, default=None)
    if best is None or best.score <= 0:
        return best
    best = _trim(stage, best)
    if _beat_on(stage, best):
        best = replace(best, score=best.score - _BEAT_ON)
    engine = engine_after(stage, best) if best.rest_stop is None else None
    return engine if engine is not None and engine.ran >= SURE_RAN else best


def _beat_on(stage: Stage, case: Reading) -> bool:
    """Whether the same slow rhythm was there before, as music's or a compressor's is: a starter brings its own."""
    before = stage.levels[max(0, case.start - _BEFORE - _EDGE) : case.start - _EDGE]
    inside = stage.levels[case.start + _EDGE : case.start + _EDGE + _BEFORE]
    if case.start < _EDGE or len(before) < 3.3 * LEVEL_RATE_HZ / case.pulses.hz:
        return False
    even = np.ones(stage.levels.shape[1])
    there, here = (comb_at(likeness(swings(part), even, blur=3), case.pulses.hz) for part in (before, inside))
    return there > max(0.15, 0.7 * here)


def _trim(stage: Stage, case: Reading) -> Reading:
    """The case without a head or a tail that does not pulse: noise before the starter, or after it."""
    period = LEVEL_RATE_HZ / case.pulses.hz
    width = int(max(110, 3.3 * period))
    if case.stop - case.start < 2 * width:
        return case
    swing = swings(stage.levels[case.start : case.stop])
    firsts = np.arange(0, len(swing) - width + 1, 12)
    there = np.array(
        [comb_at(likeness(swing[at : at + width], case.weights, stage.known, blur=3), case.pulses.hz) for at in firsts]
    )
    pulsing = np.flatnonzero(there > 0.45 * np.quantile(there, 0.8))
    if not len(pulsing):
        return case
    start, stop = case.start, case.stop
    head, tail = int(firsts[pulsing[0]]), len(swing) - int(firsts[pulsing[-1]]) - width
    if head > _HEAD and not case.rise_db > _PLAIN_DB:
        start = edges.find_step(stage.levels, start, start + head + width // 2, stop, forward=False)
    if tail > _HEAD and case.rest_stop is None and not case.fall_db > _PLAIN_DB:
        stop = edges.find_step(stage.levels, start, stop - tail - width // 2, stop, forward=True)
    return replace(case, start=start, stop=stop)


def _changes(inside: Levels, most: int = 4) -> list[int]:
    """Where, inside a stretch, the sound became another: the clearest few, in levels from its start."""
    step, wide, least = 5, 12, 1.5
    count = len(inside) // step
    if count < 2 * wide:
        return []
    steps = inside[: count * step].reshape(count, step, -1).mean(axis=1, dtype=np.float64)
    total = np.cumsum(np.vstack([np.zeros(steps.shape[1]), steps]), axis=0)
    at = np.arange(wide, count - 7)
    after = np.minimum(count, at + wide)
    before_mean = (total[at] - total[at - wide]) / wide
    after_mean = (total[after] - total[at]) / (after - at)[:, None]
    jump = np.abs(after_mean - before_mean).mean(axis=1)
    found: list[int] = []
    for best in np.argsort(jump)[::-1]:
        if len(found) == most or jump[best] < least:
            break
        if all(abs(int(at[best]) - other) > 8 for other in found):
            found.append(int(at[best]))
    return [step * one for one in found]

"""The exact edges of a stretch, and what it is like inside: plain measures, no verdict."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.cranking.around import Band, beside, weighed
from assistant.cranking.levels import Levels

_MARGIN = 12  # levels next to an edge that count neither as inside nor as outside: 0.1 s
_SEARCH = 90  # how far an edge may be moved: 0.7 s


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A stretch with its edges found. Times in levels (8 ms).

    `weights`: (BANDS,), 0 to 1, how far each band rose above what was around it. `broad`: share of the bands that rose.
    `rise_db`, `fall_db`: how clearly the floor rose and fell at the edges, mean over the half of the bands that did so
    most; NaN at an edge that the sound does not reach.
    """

    start: int
    stop: int
    weights: Band
    broad: float
    rise_db: float
    fall_db: float


def find_edges(levels: Levels, start: int, stop: int) -> Frame:
    """The frame of the stretch that lies roughly from `start` to `stop`."""
    for _ in range(2):
        inside, before, after = beside(levels, start, stop)
        middle = (start + stop) // 2
        start = _edge(levels[:middle], start, inside, before, forward=False) if before is not None else 0
        if after is None:
            stop = len(levels)
        else:
            stop = middle + _edge(levels[middle:], stop - middle, inside, after, forward=True)
    inside, before, after = beside(levels, start, stop)
    around = [usual for usual in (before, after) if usual is not None]
    rise = inside - np.max(around, axis=0) if around else np.full(levels.shape[1], 3.0)
    return Frame(
        start=start,
        stop=stop,
        weights=weighed(rise),
        broad=float(np.clip(rise / 4.0, 0, 1).mean()),
        rise_db=_clear(inside, before),
        fall_db=_clear(inside, after),
    )


def _clear(inside: Band, outside: Band | None) -> float:
    if outside is None:
        return float("nan")
    rise = np.sort(np.clip(inside - outside, -6, 15))
    return float(rise[len(rise) // 2 :].mean())


def _edge(levels: Levels, at: int, inside: Band, outside: Band, *, forward: bool) -> int:
    """Where the step from `outside` to `inside` lies, near `at`: the split that leaves least unexplained."""
    low, high = max(0, at - _SEARCH), min(len(levels), at + _SEARCH)
    near = levels[low:high].astype(np.float64)
    weights = np.clip((inside - outside) / 8.0, 0.02, 1.0) ** 2
    height = np.clip((near - outside) / np.maximum(inside - outside, 1.0), -0.5, 1.5) @ weights / weights.sum()
    gain = np.cumsum(height - 0.5)
    # Inside lies after a start and before a stop: the best split is the lowest, or the highest, running sum.
    best = int(np.argmax(gain)) if forward else int(np.argmin(gain))
    return low + best + 1


def find_step(levels: Levels, start: int, near: int, stop: int, *, forward: bool) -> int:
    """Where, near `near`, the sound between `start` and `stop` became another: inside lies after it, or before it."""
    before, after = levels[start : max(start, near - _MARGIN)], levels[near + _MARGIN : stop]
    inside, outside = (before, after) if forward else (after, before)
    if min(len(inside), len(outside)) < _MARGIN:
        return near
    here, there = inside.mean(axis=0, dtype=np.float64), outside.mean(axis=0, dtype=np.float64)
    across = (here - there) / (inside.var(axis=0) + outside.var(axis=0) + 1.0)
    low, high = max(start, near - _SEARCH), min(stop, near + _SEARCH)
    height = (levels[low:high].astype(np.float64) - (here + there) / 2) @ across
    gain = np.cumsum(height)
    return low + (int(np.argmax(gain)) if forward else int(np.argmin(gain))) + 1

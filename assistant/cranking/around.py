"""How a stretch of sound stands out from what is around it: plain measures, no verdict."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import Levels
from assistant.cranking.smooth import running_mean

Band = NDArray[np.float64]

_MARGIN = 12  # levels next to an edge that count neither as inside nor as outside: 0.1 s
_NEAR = 200  # levels before and after that say what was there without it: 1.6 s
_INSIDE, _USUAL = 0.4, 0.6  # shares of the levels that are at most the usual level inside, and outside
_FULL_RISE_DB = 8.0


def beside(levels: Levels, start: int, stop: int) -> tuple[Band, Band | None, Band | None]:
    """The usual level of each band from `start` to `stop`, before it and after it; None where too little was heard."""
    margin = min(_MARGIN, max(1, (stop - start) // 6))
    inside = rank(levels[start + margin : max(stop - margin, start + margin + 1)], _INSIDE)
    sides = (levels[max(0, start - _MARGIN - _NEAR) : max(0, start - _MARGIN)], levels[stop + _MARGIN :][:_NEAR])
    before, after = (rank(side, _USUAL) if len(side) >= _MARGIN else None for side in sides)
    return inside, before, after


def weighed(rise: Band) -> Band:
    """How much each band counts that rose so far, dB: 0.001 to 1."""
    return np.asarray(np.clip(rise / _FULL_RISE_DB, 0.1, 1.0) ** 3, dtype=np.float64)


def risen(levels: Levels, start: int, stop: int) -> Band:
    """How far each band rose from `start` to `stop` above what was around it, (BANDS,), 0.001 to 1.

    Alike for all bands where the sound holds nothing around it.
    """
    inside, *sides = beside(levels, start, stop)
    usual = [side for side in sides if side is not None]
    return weighed(inside - np.max(usual, axis=0)) if usual else np.ones(levels.shape[1])


def rank(levels: Levels | Band, share: float) -> Band:
    """The value of each band that `share` of the levels do not pass; much quicker than a general quantile."""
    at = int(share * len(levels))
    return np.asarray(np.partition(levels, at, axis=0)[at], dtype=np.float64)


def colour_db(levels: Levels, weights: Band | None = None) -> float:
    """How much the colour of the sound wanders: spread of each band against the mean of all, over 0.4 s, dB.

    `weights`: of the bands, all alike unless given.
    """
    smooth = running_mean(levels.astype(np.float64), min(50, len(levels)))
    colour = smooth - np.average(smooth, axis=1, weights=weights)[:, None]
    return float(np.sqrt(np.average(colour.var(axis=0), weights=weights)))


def dip_db(levels: Levels, width: float, weights: Band | None = None) -> float:
    """How far the sound falls from its usual level at its quietest tenth, dB: a starter never pauses.

    `width`: levels over which its power is averaged first, more than a pulse, for each pulse may well fade deeply.
    `weights`: of the bands, all alike unless given.
    """
    height = np.average(levels.astype(np.float64), axis=1, weights=weights)
    power = running_mean(10 ** (height / 10), min(len(height), max(5, int(width))))
    low, usual = np.quantile(power, (0.08, 0.5))
    return float(10 * np.log10(usual / low))

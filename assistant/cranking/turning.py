"""Whether a crankshaft turns with the starter, though nothing is compressed: by a swell as slow and even as it turns.

A ring of teeth runs a little out of true, valves tap once in two turns, and a flywheel keeps both as even as a clock.
A motor that turns nothing turns a hundred times a second: nothing of it swells as slowly and as evenly. The pulses that
`rate` finds are those of compressions, sought where this engine's may lie; without compressions there are none.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import LEVEL_RATE_HZ, Levels
from assistant.cranking.rate import Curve, swings

SLOWEST_HZ, QUICKEST_HZ = 1.6, 9.0
"""Swells that are looked at: of a crankshaft's one turn or two, 96 to 540 rpm."""

NONE = 0.0
"""What is said of a stretch too short to tell."""

_SPUN_UP, _ENDS = 30, 8  # levels of spinning up, and those next to the end, that swell by themselves
_LEAST = 75  # levels: 0.6 s
_SIZE = 8192  # of the transform: a value each 0.015 Hz
_BESIDE = 1.6  # how far around a rate others say what is usual there, as a factor
_KNOTS = np.geomspace(SLOWEST_HZ, QUICKEST_HZ, 9)
_MEDIAN = math.log(2)  # of the power of noise, as a share of its mean


def steady_turn(levels: Levels, start: int, stop: int, before: int, weights: Curve) -> float:
    """How far the plainest slow swell stands above what is usual at rates around it, logarithm of power.

    `before`: levels before the stretch whose own swells are no sign of it. `weights`: of the bands, together 1.
    """
    inside = levels[start + _SPUN_UP : stop - _ENDS]
    if len(inside) < _LEAST:
        return NONE
    power = _power(inside, weights)
    usual = _usual(power)
    there = levels[max(0, start - before) : max(0, start - _ENDS)]
    if len(there) >= _LEAST:
        usual = np.maximum(usual, _power(there, weights)[_SLOW])
    return float(np.log(power[_SLOW] / usual).max())


_RATES = np.fft.rfftfreq(_SIZE, 1 / LEVEL_RATE_HZ)
_SLOW = slice(*np.searchsorted(_RATES, (SLOWEST_HZ, QUICKEST_HZ)))


def _power(levels: Levels, weights: Curve) -> NDArray[np.float64]:
    """Of the swells, at each of `_RATES`: 1 dB squared for noise of 1 dB."""
    taper = np.hanning(len(levels) + 2)[1:-1]
    swing = (swings(levels).astype(np.float64) @ weights) * taper
    return np.asarray(np.abs(np.fft.rfft(swing, _SIZE)) ** 2 / (taper**2).sum() + 1e-6, dtype=np.float64)


def _usual(power: NDArray[np.float64]) -> NDArray[np.float64]:
    """What the power is at rates around each slow one, as noise would have it there."""
    ends = np.searchsorted(_RATES, (_KNOTS / _BESIDE, _KNOTS * _BESIDE))
    knots = [math.log(float(np.median(power[low:high])) / _MEDIAN) for low, high in zip(*ends, strict=True)]
    return np.asarray(np.exp(np.interp(np.log(_RATES[_SLOW]), np.log(_KNOTS), knots)), dtype=np.float64)

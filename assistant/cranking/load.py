"""How hard a starter works, over a stretch: compressions make its sound swell and its lines wobble; an engine without
them leaves both nearly still, and a motor that turns nothing leaves no rhythm at all."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import LEVEL_RATE_HZ, Levels
from assistant.cranking.rate import Curve, Pulses, swings
from assistant.cranking.smooth import running_mean

_BESIDE = (0.71, 0.83, 1.19, 1.37)  # of the pulse rate: rates at which there should be no swell
_FRAMES, _HOP = 512, 256  # samples: 32 ms, each 16 ms
_BINS = slice(8, 200)  # 250 to 6250 Hz
_ACROSS = 9  # bins around each whose mean is taken off, so that lines are left: 280 Hz
_QUICK, _SLOW = 2, 6  # spectra over which lines are averaged: 32 ms and 0.1 s; in between a compression moves them
_LEAST = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Logarithms. `depth`: of how far the sound swells and fades at its pulse rate, dB. `plain`: of that power against
    the power at rates beside. `wobble`, `drift`: of how much plainer its lines are within 32 ms than within 0.1 s, and
    than over its whole time: 0 where they stand still."""

    depth: float
    plain: float
    wobble: float
    drift: float


NO_SWELL, NO_LINES = (math.log(0.1), 0.0), (0.0, 0.0)
"""What stands for those of a stretch that is too short to tell."""

UNKNOWN = Load(depth=NO_SWELL[0], plain=NO_SWELL[1], wobble=NO_LINES[0], drift=NO_LINES[1])


def load_of(
    levels: Levels, sound: NDArray[np.int16], before: NDArray[np.int16], weights: Curve, pulses: Pulses | None
) -> Load:
    """How hard the starter works in a stretch. `sound`: of its `levels`; `before`: of what was there before it.
    `weights`: of the bands, together 1. `pulses`: its own; None where none are told."""
    depth, plain = _swell(levels, weights, pulses)
    wobble, drift = _lines(sound, before)
    return Load(depth=depth, plain=plain, wobble=wobble, drift=drift)


def _swell(levels: Levels, weights: Curve, pulses: Pulses | None) -> tuple[float, float]:
    if pulses is None:
        return NO_SWELL
    time = np.arange(len(levels)) / LEVEL_RATE_HZ
    taper = np.hanning(len(levels) + 2)[1:-1]
    rates = pulses.hz * np.array([1.0, *_BESIDE])
    waves = np.exp(-2j * math.pi * rates[:, None] * time) * (2 * taper / taper.sum())
    deep = np.abs(waves @ swings(levels).astype(np.float64)) @ weights
    beside = math.sqrt(float((deep[1:] ** 2).mean()))
    return math.log(0.1 + deep[0]), 2 * math.log((deep[0] + 0.01) / (beside + 0.01))


def _lines(sound: NDArray[np.int16], before: NDArray[np.int16]) -> tuple[float, float]:
    """By how much the lines of the spectrum, less those of what was there before, fade in a mean over some time."""
    there = _spectra(sound)
    if len(there) < 2 * _SLOW:
        return NO_LINES
    usual = _spectra(before)
    rise = np.log(np.maximum(there / (usual.mean(axis=0) if len(usual) else 1.0), 1.0))
    lines = rise - running_mean(rise.T, _ACROSS).T
    quick, slow = (_power(_means(lines, count)) for count in (_QUICK, _SLOW))
    whole = _power(lines.mean(axis=0, keepdims=True))
    return math.log(quick / slow), math.log(quick / whole)


def _means(lines: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    whole = len(lines) // count
    means: NDArray[np.float64] = lines[: whole * count].reshape(whole, count, -1).mean(axis=1)
    return means


def _power(lines: NDArray[np.float64]) -> float:
    return float((lines**2).sum(axis=1).mean()) + _LEAST


def _spectra(sound: NDArray[np.int16]) -> NDArray[np.float64]:
    if len(sound) < _FRAMES:
        return np.zeros((0, _BINS.stop - _BINS.start))
    steep = np.diff(sound.astype(np.float64), prepend=float(sound[0]))  # the low ones must not leak into the others
    pieces = np.lib.stride_tricks.sliding_window_view(steep, _FRAMES)[::_HOP] * np.hanning(_FRAMES)
    spectrum = np.fft.rfft(pieces, axis=1)[:, _BINS]
    return np.asarray(spectrum.real**2 + spectrum.imag**2 + 1.0, dtype=np.float64)

"""Unevenness between cylinders: a weak one shows as a dip that comes back once in a working cycle (two turns)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import LEVEL_RATE_HZ, Levels
from assistant.cranking.rate import Curve, swings

_CYCLES = 4  # fewer say nothing of a cylinder
_BAND = 0.3  # share of the pulse rate that is looked at on either side of it, so that drift does no harm
_SIGNIFICANT = 3.0  # standard errors that the weakest must lie below the usual one


def weakest_share(levels: Levels, weights: Curve, pulse_hz: float, cylinders: int) -> float | None:
    """By what share the weakest compression of the cycle falls below the usual one; 0 where all are alike.

    None where fewer than four cycles were heard, or the pulses cannot be told one by one.
    """
    swing = swings(levels) @ (weights / weights.sum())
    heights = _heights(swing, pulse_hz)
    cycles = len(heights) // cylinders
    if cylinders < 2 or cycles < _CYCLES:
        return None
    table = heights[: cycles * cylinders].reshape(cycles, cylinders)
    each = np.median(table, axis=0)
    usual = float(np.median(each))
    if usual <= 0:
        return None
    weakest = int(np.argmin(each))
    error = float(np.std(table[:, weakest] - each[weakest]) / np.sqrt(cycles)) * 1.25
    fall = usual - float(each[weakest])
    return min(1.0, fall / usual) if fall > _SIGNIFICANT * error else 0.0


def _heights(swing: Curve, pulse_hz: float) -> NDArray[np.float64]:
    """The height of each pulse, in order, by following the phase of the pulses through the burst."""
    from scipy import signal  # noqa: PLC0415 - takes half a second, which listening would begin later

    low, high = pulse_hz * (1 - _BAND), min(pulse_hz * (1 + _BAND), 0.48 * LEVEL_RATE_HZ)
    band = signal.butter(2, [low, high], "bandpass", fs=LEVEL_RATE_HZ, output="sos")
    reach = min(len(swing) - 1, int(2 * LEVEL_RATE_HZ / pulse_hz))
    turning = signal.hilbert(signal.sosfiltfilt(band, swing, padlen=reach))
    phase = np.unwrap(np.angle(turning)) / (2 * np.pi)
    number = np.floor(phase - phase[0]).astype(int)
    wave = np.cos(2 * np.pi * phase)
    count = number[-1] + 1
    if abs(count / (len(swing) * pulse_hz / LEVEL_RATE_HZ) - 1) > 0.15:
        return np.zeros(0)
    found = np.array(
        [np.mean((swing * wave)[number == one]) if (number == one).any() else np.nan for one in range(count)]
    )
    return np.asarray(found[1:-1][np.isfinite(found[1:-1])] if np.isfinite(found[1:-1]).all() else np.zeros(0))

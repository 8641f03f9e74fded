"""What a burst sounded like, as a few numbers: how loud it was and how fast the starter turned, for its picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.cranking.levels import LEVEL_RATE_HZ, Levels
from assistant.cranking.rate import speed_track

STEP = 12
"""Levels in a value of loudness: 0.096 s."""

_AROUND = 125  # levels before the burst and after it that are shown too: 1 s
_MOST_SPEEDS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """Loudness and speed around one burst.

    `before_s`: how long before the burst the first value lies; `step_s`: between values. `loud_db`: below full scale.
    `speed_at_s`, `speed_hz`: seconds after the burst began, and the compressions a second there.
    """

    before_s: float
    step_s: float
    loud_db: tuple[float, ...]
    speed_at_s: tuple[float, ...]
    speed_hz: tuple[float, ...]


def trace_of(levels: Levels, start: int, stop: int, rest_stop: int | None, pulse_hz: float | None) -> Trace:
    """The trace of the burst from level `start` to `stop`, with the engine that ran to `rest_stop`."""
    first, last = max(0, start - _AROUND), min(len(levels), (rest_stop or stop) + _AROUND)
    power = (10 ** (levels[first:last].astype(np.float64) / 10)).sum(axis=1)
    whole = power[: len(power) // STEP * STEP].reshape(-1, STEP).mean(axis=1)
    at, hz = speed_track(levels[start:stop], pulse_hz) if pulse_hz is not None else (np.zeros(0), np.zeros(0))
    every = max(1, -(-len(at) // _MOST_SPEEDS))
    return Trace(
        before_s=round((start - first) / LEVEL_RATE_HZ, 3),
        step_s=STEP / LEVEL_RATE_HZ,
        loud_db=tuple(round(float(one), 1) for one in 10 * np.log10(whole)),
        speed_at_s=tuple(round(float(one) / LEVEL_RATE_HZ, 2) for one in at[::every]),
        speed_hz=tuple(round(float(one), 2) for one in hz[::every]),
    )

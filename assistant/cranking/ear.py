"""The ear for the starter: a whole sound, or a stream of it, to bursts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.judge import MAY_HAVE_RUN, SURE_RAN, Case, weigh
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, SAMPLE_RATE_HZ, LevelMeter, Levels
from assistant.cranking.model import Burst, Hearing, Kind
from assistant.cranking.rate import rpm_of
from assistant.cranking.stretches import Stretch, StretchFinder

_BLOCK = 16_000 * 60
_HELD_S = 0.12  # the starter stays engaged a moment after the engine takes over; common practice, no source
_LEAST_SCORE = 0.3
_AROUND = 625  # levels before and after a stretch that its judging may look at: 5 s


def listen(pcm: NDArray[np.int16], cylinders: int | None = None) -> Hearing:
    """All bursts in a whole sound. `pcm`: int16, mono, (frames,), 16 000 Hz."""
    meter, finder = LevelMeter(), StretchFinder()
    parts, stretches = [], []
    for first in range(0, len(pcm), _BLOCK):
        levels = meter.feed(pcm[first : first + _BLOCK])
        parts.append(levels)
        stretches += finder.feed(levels)[1]
    stretches += finder.finish()
    levels = np.concatenate(parts) if parts else np.zeros((0, 14), dtype=np.float32)
    cases = [case for one in stretches if one.stop and (case := _weigh_near(levels, pcm, one, cylinders))]
    return Hearing(
        bursts=tuple(to_burst(case, cylinders) for case in choose(cases)),
        seconds=len(pcm) / 16_000,
    )


def _weigh_near(levels: Levels, pcm: NDArray[np.int16], one: Stretch, cylinders: int | None) -> Case | None:
    stop = one.stop or len(levels)
    first, last = max(0, one.start - _AROUND), min(len(levels), stop + _AROUND)
    case = weigh(
        levels[first:last], pcm[first * HOP : last * HOP], one.start - first, stop - first, cylinders=cylinders
    )
    if case is None or not is_crank(case):
        return None
    return case.moved(first)


def is_crank(case: Case) -> bool:
    """Whether a reading is sure enough to be told of."""
    return case.score > _LEAST_SCORE


def to_sound(pcm: NDArray[np.int16], case: Case | None) -> Kind:
    """What a stretch was that is not cranking: one knock, a whine without pulses, or something else."""
    seconds = len(pcm) / SAMPLE_RATE_HZ
    if seconds < 0.6 and case is None:
        return Kind.CLUNK
    return Kind.OTHER


def choose(cases: list[Case]) -> list[Case]:
    """Of readings that overlap, the best; in order of time."""
    chosen: list[Case] = []
    for case in sorted(cases, key=lambda one: -one.score):
        stop = case.rest_stop or case.stop
        if all(stop <= other.start or (other.rest_stop or other.stop) <= case.start for other in chosen):
            chosen.append(case)
    return sorted(chosen, key=lambda one: one.start)


def to_burst(case: Case, cylinders: int | None) -> Burst:
    """The case in seconds and turns a minute."""
    hz = case.pulses.hz
    caught = _caught(case)
    run_s = None if case.rest_stop is None or not caught else (case.rest_stop - case.stop) / LEVEL_RATE_HZ
    return Burst(
        start_s=case.start / LEVEL_RATE_HZ,
        end_s=case.stop / LEVEL_RATE_HZ + (0.0 if case.rest_stop is None else _HELD_S),
        pulse_hz=hz,
        rpm=None if cylinders is None else rpm_of(hz, cylinders),
        caught=caught,
        run_s=run_s,
        confidence=float(1 / (1 + np.exp(-4 * (case.score - _LEAST_SCORE)))),
    )


def _caught(case: Case) -> bool | None:
    if case.cut:
        return None
    if case.rest_stop is None or case.ran < MAY_HAVE_RUN:
        return False
    return True if case.ran >= SURE_RAN else None

"""Readings in which the engine takes over from the starter and runs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from assistant.cranking import edges
from assistant.cranking.levels import LEVEL_RATE_HZ, Levels
from assistant.cranking.rate import comb_at, likeness, swings
from assistant.cranking.reading import BEAT, MOST_BY_ENGINE, QUICK_HZ, Reading, Stage
from assistant.cranking.smooth import running_mean
from assistant.cranking.votes import measure

LEAST = 40
"""Levels: 0.32 s, too short to say anything of."""

_REST_LEAST = 70  # levels of another sound after the crank that may be the engine running: 0.56 s
_BEFORE, _EDGE = 200, 12  # levels before a stretch that are looked at for its rhythm, and left out next to it
_CUT = 0.2  # against a reading that leaves the rest of the stretch unexplained
_STILL = 0.3  # likeness of starter pulses above which the starter still turns; half of what they usually show
_USUAL_RAN, _BY_ENGINE = 0.45, MOST_BY_ENGINE / (1 - 0.45)  # what an engine adds, by how surely it ran
_PLAIN_BEAT = 0.3  # strength that leaves no doubt of an engine; nineteen in twenty runs reach it
_FADED_DB = -8.0  # against the starter: what is quieter is no running engine
_RUNS_DB = 1.5  # an engine that runs is louder than what was there before, in a third of the bands at least


def split(stage: Stage, frame: edges.Frame, middle: int) -> Reading | None:
    """The reading that the starter turned up to `middle` and the engine ran from there to the end of the stretch."""
    if middle - frame.start < LEAST or frame.stop - middle < _REST_LEAST:
        return None
    middle = edges.find_step(stage.levels, frame.start, middle, frame.stop, forward=True)
    if middle - frame.start < LEAST or frame.stop - middle < LEAST:
        return None
    first = replace(frame, stop=middle, fall_db=_change_db(stage.levels, frame.start, middle, frame.stop))
    case = measure(stage, first, split=True)
    if case is None:
        return None
    loud = stage.levels.mean(axis=1)
    goes_on = np.median(loud[middle + 12 : frame.stop]) > np.median(loud[frame.start : middle]) + _FADED_DB
    unexplained = replace(case, cut=bool(goes_on), score=case.score - _CUT)
    return _with_engine(stage, case, frame.stop) or unexplained


def engine_after(stage: Stage, case: Reading) -> Reading | None:
    """The reading that a quieter engine ran on once the starter's own noise had stopped."""
    before = stage.levels[max(0, case.start - 212) : max(0, case.start - 12)]
    after = stage.levels[case.stop + 12 :]
    if len(before) < LEAST or len(after) < _REST_LEAST:
        return None
    usual = before.mean(axis=0, dtype=np.float64)
    height = running_mean((after - usual).mean(axis=1, dtype=np.float64), 25)
    least = max(1.5, 0.35 * float(height[:50].mean()))
    fallen = np.flatnonzero(height < least)
    length = int(fallen[0]) if len(fallen) else len(after)
    if length < _REST_LEAST or stage.was_there(case.start, stage.beat(case.stop + 25, case.stop + 12 + length)):
        return None
    return _with_engine(stage, case, case.stop + 12 + length)


def _with_engine(stage: Stage, case: Reading, rest_stop: int) -> Reading | None:
    """The case with an engine running from its end to `rest_stop`; None when that is no engine."""
    loud = stage.levels.mean(axis=1)
    crank, rest = loud[case.start : case.stop], loud[case.stop + 12 : rest_stop - 6]
    if len(rest) < LEAST:
        return None
    louder_db = float(np.median(rest) - np.median(crank))
    dying_db = float(np.median(rest[: len(rest) // 2]) - np.median(rest[len(rest) // 2 :]))
    if not _FADED_DB <= louder_db <= 14 or (dying_db > 6 and len(rest) < 150):
        return None
    before = stage.levels[max(0, case.start - _BEFORE - _EDGE) : max(0, case.start - _EDGE)]
    if len(before) >= LEAST:
        above = np.median(stage.levels[case.stop + 12 : rest_stop - 6], axis=0) - np.median(before, axis=0)
        if float(np.quantile(above, 0.7)) < _RUNS_DB:
            return None
    beat = stage.beat(case.stop + 25, rest_stop - 6)
    quick = beat is not None and beat.hz > max(QUICK_HZ, 1.4 * case.pulses.hz)
    strength = beat.strength if beat is not None and quick else 0.0
    plain = strength > _PLAIN_BEAT and not stage.was_there(case.start, beat)
    still = _still(stage, stage.levels[case.stop + 12 : rest_stop - 6], case)
    if still > (0.85 * case.pulses.strength if plain else min(_STILL, 0.75 * case.pulses.strength)):
        return None
    ran = 0.2 + float(np.clip(louder_db / 30, -0.2, 0.2)) + min(0.6, 2 * max(0.0, strength - BEAT / 2))
    ran = max(0.6 if plain else 0.0, float(np.clip(ran + np.clip(2.5 * (0.12 - still), -0.5, 0.15), 0, 1)))
    return replace(case, rest_stop=rest_stop, ran=ran, score=case.score + _BY_ENGINE * (ran - _USUAL_RAN))


def _still(stage: Stage, rest: Levels, case: Reading) -> float:
    """How strongly the starter's pulses go on in the better part of the rest: then it was only drowned for a while."""
    width = int(min(len(rest), max(190, 4 * LEVEL_RATE_HZ / case.pulses.hz)))
    parts = [rest[first : first + width] for first in range(0, max(1, len(rest) - width + 1), width // 2)]
    there = [comb_at(likeness(swings(part), case.weights, stage.known, blur=3), case.pulses.hz) for part in parts]
    return float(np.quantile(there, 0.75))


def _change_db(levels: Levels, start: int, middle: int, stop: int) -> float:
    before = levels[max(start, middle - 100) : middle - 6].mean(axis=0)
    after = levels[middle + 12 : min(stop, middle + 112)].mean(axis=0)
    change = np.sort(np.abs(after - before))
    return float(change[len(change) // 2 :].mean())

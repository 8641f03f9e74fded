"""Whether a stretch of raised sound was a starter turning an engine, and what came of it.

The tests are physical, each a soft vote, so that one bad band or one loud word does not decide: a starter turns for
about 0.5 to 25 s; it begins and ends at once; it never pauses, so its quietest moments stay near its usual level (talk,
blows and music fall away); its colour stays; its load pulses regularly, slower than 26 Hz and never as crisp as the
blows of a tool; and no quicker beat runs through it, as one does through a running engine.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from assistant.cranking import edges
from assistant.cranking.firing import Beat, find_beat
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, Levels
from assistant.cranking.rate import Curve, Pulses, comb_at, find_pulses, likeness, rhythm, swings

SHORTEST_S = 0.5
LONGEST_S = 25.0
SURE_RAN = 0.45
MAY_HAVE_RUN = 0.33

_LEAST = 40  # levels: 0.32 s, too short to say anything of
_REST_LEAST = 70  # levels of another sound after the crank that may be the engine running: 0.56 s
_BLEND = 25  # levels before the engine takes over in which both are heard: 0.2 s
_HEAD = 60  # levels without pulses that are no part of a burst: 0.5 s
_PLAIN_DB = 5.0  # an edge this clear stands as it is
_PAUSE = 60  # levels: 0.5 s; a silence that long is no fading between pulses
_BEFORE, _EDGE = 200, 12  # levels before a stretch that are looked at for its rhythm, and left out next to it
_BEAT_ON = 0.4
_CUT = 0.2  # against a reading that leaves the rest of the stretch unexplained
_STILL = 0.3  # likeness of starter pulses above which the starter still turns; half of what they usually show
_BEAT = 0.12  # strength of the quick beat above which an engine runs; starters stay below 0.1
_PLAIN_BEAT = 0.3  # strength that leaves no doubt of an engine; nineteen in twenty runs reach it
_FADED_DB = -8.0  # against the starter: what is quieter is no running engine
_RUNS_DB = 1.5  # an engine that runs is louder than what was there before, in a third of the bands at least
_QUICK_HZ = 13.0
_BLOWS_HZ = 16.5  # impact tools strike 1000 to 2400 times a minute (from memory)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A stretch, measured. `score`: above 0 it is taken for cranking. Times in levels (8 ms).

    `votes`: what spoke for it and against it. `rest_stop`: where the engine stopped that ran after the starter;
    `ran`: how surely it was one, 0 to 1. `cut`: something loud went on that is neither starter nor engine.
    """

    start: int
    stop: int
    pulses: Pulses
    weights: Curve
    score: float
    rise_db: float
    fall_db: float
    votes: Mapping[str, float]
    rest_stop: int | None = None
    ran: float = 0.0
    cut: bool = False

    def moved(self, by: int) -> Case:
        """The same case, its times counted from `by` levels earlier."""
        rest = None if self.rest_stop is None else self.rest_stop + by
        return replace(self, start=self.start + by, stop=self.stop + by, rest_stop=rest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """What a judgement looks at: levels and the sound they come from, the rhythm that was there before, cylinders."""

    levels: Levels
    pcm: NDArray[np.int16]
    known: Curve | None
    cylinders: int | None

    def beat(self, start: int, stop: int) -> Beat | None:
        """The quick beat between two levels."""
        return find_beat(self.pcm[start * HOP : stop * HOP])


def weigh(
    levels: Levels, pcm: NDArray[np.int16], start: int, stop: int, *, cylinders: int | None = None
) -> Case | None:
    """The best reading of the stretch: all of it cranking, or cranking and then the engine running.

    `pcm`: the sound of `levels`, int16, mono, 16 000 Hz. None when it is too short, or plainly something else.
    """
    if stop - start < _LEAST or edges.steady_floor_db(levels[start:stop], np.ones(levels.shape[1]), _PAUSE) > 11:
        return None
    begins = [start]
    if start == 0:  # it was there from the first: what matters may have begun on top of it
        begins += [at for at in _changes(levels[:stop]) if at > _LEAST]
    cases = [case for begin in begins if (case := _weigh_from(levels, pcm, begin, stop, cylinders))]
    return max(cases, key=lambda case: case.score, default=None)


def _weigh_from(levels: Levels, pcm: NDArray[np.int16], start: int, stop: int, cylinders: int | None) -> Case | None:
    frame = edges.find_edges(levels, start, stop)
    if frame.stop - frame.start < _LEAST:
        return None
    known = rhythm(swings(levels[max(0, frame.start - 625) : frame.start - 5])) if frame.start > 300 else None
    stage = Stage(levels=levels, pcm=pcm, known=known, cylinders=cylinders)
    cases = [_case(stage, frame)]
    cases += [_split(stage, frame, frame.start + at) for at in _changes(levels[frame.start : frame.stop])]
    best = max((case for case in cases if case is not None), key=lambda case: case.score, default=None)
    if best is None or best.score <= 0:
        return best
    best = _trim(stage, best)
    if _beat_on(stage, best):
        best = replace(best, score=best.score - _BEAT_ON)
    engine = _engine_after(stage, best) if best.rest_stop is None else None
    return engine if engine is not None and engine.ran >= SURE_RAN else best


def _beat_on(stage: Stage, case: Case) -> bool:
    """Whether the same slow rhythm was there before, as music's or a compressor's is: a starter brings its own."""
    before = stage.levels[max(0, case.start - _BEFORE - _EDGE) : case.start - _EDGE]
    inside = stage.levels[case.start + _EDGE : case.start + _EDGE + _BEFORE]
    if case.start < _EDGE or len(before) < 3.3 * LEVEL_RATE_HZ / case.pulses.hz:
        return False
    even = np.ones(stage.levels.shape[1])
    there, here = (comb_at(likeness(swings(part), even, blur=3), case.pulses.hz) for part in (before, inside))
    return there > max(0.15, 0.7 * here)


def _trim(stage: Stage, case: Case) -> Case:
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


def _case(stage: Stage, frame: edges.Frame, *, split: bool = False) -> Case | None:
    inside = stage.levels[frame.start : frame.stop]
    seconds = len(inside) / LEVEL_RATE_HZ
    colour_db = edges.shape_db(inside, frame.weights)
    if seconds > LONGEST_S + 5 or colour_db > 4:
        return None
    margin = min(12, len(inside) // 8)
    tail = min(_BLEND, len(inside) // 6) if split else margin // 2
    pulses = find_pulses(
        inside[margin : len(inside) - tail], frame.weights, known=stage.known, cylinders=stage.cylinders
    )
    if pulses is None:
        return None
    floor_db = edges.steady_floor_db(inside, frame.weights, 1.5 * LEVEL_RATE_HZ / pulses.hz)
    left_db = edges.residue_db(swings(inside), frame.weights, LEVEL_RATE_HZ / pulses.hz)
    alone = math.isnan(frame.rise_db) and math.isnan(frame.fall_db)
    fall = 6.0 if math.isnan(frame.fall_db) else frame.fall_db
    count = seconds * pulses.hz
    # Many pulses that agree a little say as much as few that agree well.
    strength = pulses.strength * float(np.clip(np.sqrt(count / 40), 1.0, 1.6))
    votes = {
        "strength": _vote(strength, 0.3, 0.1, most=1.5),
        "clear": _vote(pulses.clear, 0.09, 0.07, most=1.0),
        "rise": -0.6 if math.isnan(frame.rise_db) else _vote(frame.rise_db, 3.0, 1.5, most=0.8),
        "broad": 0.0 if alone else _vote(frame.broad, 0.45, 0.12, most=0.8),
        "fall": _vote(fall, 3.0, 1.5, most=0.6),
        "floor": _vote(4.0 - floor_db, 0, 1.0, most=0.7),
        "regular": _vote(6.2 - left_db, 0, 0.8, most=0.7),
        "colour": _vote(2.5 - colour_db, 0, 0.5, most=0.5),
        "length": _vote(seconds, SHORTEST_S + 0.2, 0.1, most=0.5),
        "count": _vote(count, 4.8, 1.0, most=0.6),
        "short": _vote(LONGEST_S - seconds, 0, 3.0, most=0.3),
        "rate": _rate_vote(pulses, stage.cylinders),
        "beat": _beat_vote(stage, frame, pulses),
    }
    if strength > 0.4 and pulses.clear > 0.2 and count > 6:
        # Pulses this plain may stand against louder noise next to the burst.
        votes |= {name: max(-0.6, votes[name]) for name in ("rise", "broad", "fall")}
    # A test failed outright cannot be bought back by the others.
    score = min(sum(votes.values()) / 4, min(votes.values()) + 1.0)
    return Case(
        start=frame.start,
        stop=frame.stop,
        pulses=pulses,
        weights=frame.weights,
        score=float(score),
        rise_db=frame.rise_db,
        fall_db=frame.fall_db,
        votes=votes,
    )


def _vote(value: float, middle: float, width: float, *, most: float) -> float:
    """How much a measure speaks for cranking: 0 at `middle`, at most `most`, far below it -3."""
    return float(np.clip((value - middle) / width, -3.0, most))


def _rate_vote(pulses: Pulses, cylinders: int | None) -> float:
    if cylinders is None:
        return _vote(20.5 - pulses.hz, 0, 1.5, most=0.3)
    rpm = pulses.hz * 120 / cylinders
    return min(_vote(400 - rpm, 0, 40, most=0.3), _vote(rpm, 45, 15, most=0.3))


def _beat_vote(stage: Stage, frame: edges.Frame, pulses: Pulses) -> float:
    """Against an engine that runs (a beat quicker than the pulses) and a tool (quick pulses as crisp as blows)."""
    beat = stage.beat(frame.start + 12, frame.stop)
    if beat is None or beat.hz < _QUICK_HZ:
        return 0.0
    plain = pulses.strength > 0.55 and pulses.clear > 0.25
    if beat.hz < 1.4 * pulses.hz:
        if pulses.hz < _BLOWS_HZ:
            return 0.0
        return _vote((0.5 if stage.cylinders is None else 0.75) - beat.strength, 0, 0.08, most=0.2)
    if plain and abs(beat.hz / pulses.hz - 2) < 0.1:
        return 0.0  # the second swing of the same pulses
    vote = _vote(_BEAT - beat.strength, 0, 0.06, most=0.2)
    if plain or _was_there(stage, frame.start, beat):
        vote = max(-0.6, vote)  # a tool or an engine may well run beside a starter
    return vote


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


def _split(stage: Stage, frame: edges.Frame, middle: int) -> Case | None:
    """The reading that the starter turned up to `middle` and the engine ran from there to the end of the stretch."""
    if middle - frame.start < _LEAST or frame.stop - middle < _REST_LEAST:
        return None
    middle = edges.find_step(stage.levels, frame.start, middle, frame.stop, forward=True)
    if middle - frame.start < _LEAST or frame.stop - middle < _LEAST:
        return None
    first = replace(frame, stop=middle, fall_db=_change_db(stage.levels, frame.start, middle, frame.stop))
    case = _case(stage, first, split=True)
    if case is None:
        return None
    loud = stage.levels.mean(axis=1)
    goes_on = np.median(loud[middle + 12 : frame.stop]) > np.median(loud[frame.start : middle]) + _FADED_DB
    unexplained = replace(case, cut=bool(goes_on), score=case.score - _CUT)
    return _with_engine(stage, case, frame.stop) or unexplained


def _engine_after(stage: Stage, case: Case) -> Case | None:
    """The reading that a quieter engine ran on once the starter's own noise had stopped."""
    before = stage.levels[max(0, case.start - 212) : max(0, case.start - 12)]
    after = stage.levels[case.stop + 12 :]
    if len(before) < _LEAST or len(after) < _REST_LEAST:
        return None
    usual = before.mean(axis=0, dtype=np.float64)
    height = uniform_filter1d((after - usual).mean(axis=1, dtype=np.float64), 25, mode="nearest")
    least = max(1.5, 0.35 * float(height[:50].mean()))
    fallen = np.flatnonzero(height < least)
    length = int(fallen[0]) if len(fallen) else len(after)
    if length < _REST_LEAST or _was_there(stage, case.start, stage.beat(case.stop + 25, case.stop + 12 + length)):
        return None
    return _with_engine(stage, case, case.stop + 12 + length)


def _with_engine(stage: Stage, case: Case, rest_stop: int) -> Case | None:
    """The case with an engine running from its end to `rest_stop`; None when that is no engine."""
    loud = stage.levels.mean(axis=1)
    crank, rest = loud[case.start : case.stop], loud[case.stop + 12 : rest_stop - 6]
    if len(rest) < _LEAST:
        return None
    louder_db = float(np.median(rest) - np.median(crank))
    dying_db = float(np.median(rest[: len(rest) // 2]) - np.median(rest[len(rest) // 2 :]))
    if not _FADED_DB <= louder_db <= 14 or (dying_db > 6 and len(rest) < 150):
        return None
    before = stage.levels[max(0, case.start - _BEFORE - _EDGE) : max(0, case.start - _EDGE)]
    if len(before) >= _LEAST:
        above = np.median(stage.levels[case.stop + 12 : rest_stop - 6], axis=0) - np.median(before, axis=0)
        if float(np.quantile(above, 0.7)) < _RUNS_DB:
            return None
    beat = stage.beat(case.stop + 25, rest_stop - 6)
    quick = beat is not None and beat.hz > max(_QUICK_HZ, 1.4 * case.pulses.hz)
    strength = beat.strength if beat is not None and quick else 0.0
    plain = strength > _PLAIN_BEAT and not _was_there(stage, case.start, beat)
    still = _still(stage, stage.levels[case.stop + 12 : rest_stop - 6], case)
    if still > (0.85 * case.pulses.strength if plain else min(_STILL, 0.75 * case.pulses.strength)):
        return None
    ran = 0.2 + float(np.clip(louder_db / 30, -0.2, 0.2)) + min(0.6, 2 * max(0.0, strength - _BEAT / 2))
    ran = max(0.6 if plain else 0.0, float(np.clip(ran + np.clip(2.5 * (0.12 - still), -0.5, 0.15), 0, 1)))
    return replace(case, rest_stop=rest_stop, ran=ran, score=case.score + 0.6 * (ran - 0.45))


def _was_there(stage: Stage, start: int, beat: Beat | None) -> bool:
    """Whether the beat is another engine's, or a tool's, that ran before the starter turned."""
    before = stage.beat(max(0, start - 250), max(0, start - 12))
    if before is None or beat is None or before.strength < _BEAT:
        return False
    return abs(float(np.log(before.hz / beat.hz))) < 0.15


def _still(stage: Stage, rest: Levels, case: Case) -> float:
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

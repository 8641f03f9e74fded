"""How much a stretch of raised sound is like a starter turning an engine: physical tests, each a soft vote.

One bad band or one loud word does not decide: a starter turns for about 0.5 to 25 s; it begins and ends at once; it
never pauses, so its quietest moments stay near its usual level (talk, blows and music fall away); its colour stays; its
load pulses regularly, slower than 26 Hz and never as crisp as the blows of a tool; and no quicker beat runs through it,
as one does through a running engine.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from assistant.cranking import edges
from assistant.cranking.around import colour_db, dip_db
from assistant.cranking.levels import LEVEL_RATE_HZ
from assistant.cranking.rate import Pulses, find_pulses
from assistant.cranking.reading import BEAT, MOST_BY_ENGINE, QUICK_HZ, Reading, Stage
from assistant.cranking.trust import LONGEST_S

_SHORTEST_S = 0.5
_GIVEN = 0.25  # what two tests gave to all but everything that was measured, starter or not: they are left out
_BLEND = 25  # levels before the engine takes over in which both are heard: 0.2 s
_MOST_BEAT = 0.2  # that the quick beat may speak for a starter
_BLOWS_HZ = 16.5  # impact tools strike 1000 to 2400 times a minute (from memory)


def measure(stage: Stage, frame: edges.Frame, *, split: bool = False) -> Reading | None:
    """The frame as one reading; None where it is plainly no starter, or where no engine after it could still make it
    one. `split`: another sound follows at its end."""
    inside = stage.levels[frame.start : frame.stop]
    seconds = len(inside) / LEVEL_RATE_HZ
    wanders_db = colour_db(inside, frame.weights)
    early = {
        "colour": _vote(2.5 - wanders_db, 0, 0.5, most=0.5),
        "length": _vote(seconds, _SHORTEST_S + 0.2, 0.1, most=0.5),
    }
    if seconds > LONGEST_S + 5 or _hopeless(early):
        return None
    margin = min(12, len(inside) // 8)
    tail = min(_BLEND, len(inside) // 6) if split else margin // 2
    pulses = find_pulses(
        inside[margin : len(inside) - tail], frame.weights, known=stage.known, cylinders=stage.cylinders
    )
    if pulses is None:
        return None
    floor_db = dip_db(inside, 1.5 * LEVEL_RATE_HZ / pulses.hz, frame.weights)
    alone = math.isnan(frame.rise_db) and math.isnan(frame.fall_db)
    fall = 6.0 if math.isnan(frame.fall_db) else frame.fall_db
    count = seconds * pulses.hz
    # Many pulses that agree a little say as much as few that agree well.
    strength = pulses.strength * float(np.clip(np.sqrt(count / 40), 1.0, 1.6))
    votes = early | {
        "strength": _vote(strength, 0.3, 0.1, most=1.5),
        "clear": _vote(pulses.clear, 0.09, 0.07, most=1.0),
        "rise": -0.6 if math.isnan(frame.rise_db) else _vote(frame.rise_db, 3.0, 1.5, most=0.8),
        "broad": 0.0 if alone else _vote(frame.broad, 0.45, 0.12, most=0.8),
        "fall": _vote(fall, 3.0, 1.5, most=0.6),
        "floor": _vote(4.0 - floor_db, 0, 1.0, most=0.7),
        "count": _vote(count, 4.8, 1.0, most=0.6),
        "rate": _rate_vote(pulses, stage.cylinders),
    }
    if strength > 0.4 and pulses.clear > 0.2 and count > 6:
        # Pulses this plain may stand against louder noise next to the burst.
        votes |= {name: max(-0.6, votes[name]) for name in ("rise", "broad", "fall")}
    if _hopeless(votes) or _score(votes) + _MOST_BEAT / 4 < -MOST_BY_ENGINE:
        return None
    votes["beat"] = _beat_vote(stage, frame, pulses)
    return Reading(
        start=frame.start,
        stop=frame.stop,
        pulses=pulses,
        weights=frame.weights,
        score=_score(votes),
        rise_db=frame.rise_db,
        fall_db=frame.fall_db,
        votes=votes,
    )


def _score(votes: Mapping[str, float]) -> float:
    """What they say together: a test failed outright cannot be bought back by the others."""
    return float(min(_GIVEN + sum(votes.values()) / 4, min(votes.values()) + 1.0))


def _hopeless(votes: Mapping[str, float]) -> bool:
    """Whether one of them failed so that neither the others nor an engine can make up for it."""
    return min(votes.values()) + 1.0 < -MOST_BY_ENGINE


def _vote(value: float, middle: float, width: float, *, most: float) -> float:
    """How much a measure speaks for cranking: 0 at `middle`, at most `most`, far below it -3."""
    return float(np.clip((value - middle) / width, -3.0, most))


def _rate_vote(pulses: Pulses, cylinders: int | None) -> float:
    if cylinders is None:
        return _vote(20.5 - pulses.hz, 0, 1.5, most=0.3)
    rpm = pulses.hz * 120 / cylinders
    return _vote(min((400 - rpm) / 40, (rpm - 45) / 15), 0, 1, most=0.3)


def _beat_vote(stage: Stage, frame: edges.Frame, pulses: Pulses) -> float:
    """Against an engine that runs (a beat quicker than the pulses) and a tool (quick pulses as crisp as blows)."""
    beat = stage.beat(frame.start + 12, frame.stop)
    if beat is None or beat.hz < QUICK_HZ:
        return 0.0
    plain = pulses.strength > 0.55 and pulses.clear > 0.25
    if beat.hz < 1.4 * pulses.hz:
        if pulses.hz < _BLOWS_HZ:
            return 0.0
        return _vote((0.5 if stage.cylinders is None else 0.75) - beat.strength, 0, 0.08, most=_MOST_BEAT)
    if plain and abs(beat.hz / pulses.hz - 2) < 0.1:
        return 0.0  # the second swing of the same pulses
    vote = _vote(BEAT - beat.strength, 0, 0.06, most=_MOST_BEAT)
    if plain or stage.was_there(frame.start, beat):
        vote = max(-0.6, vote)  # a tool or an engine may well run beside a starter
    return vote

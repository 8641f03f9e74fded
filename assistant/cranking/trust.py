"""How surely a burst was a starter: what speaks for it, each weighed, from 0 to 1.

The trained layers know what a starter is like; what does not depend on any training stands beside them: it begins and
ends at once in many bands, it stands above what was around it, it never pauses, its pulses are clear, an engine runs
after it.

The weights are a logistic fit (scikit-learn) on made scenes of other seeds than the measured ones and on two and a half
hours of recorded music, talk and engines that hold no starter; those of brief sounds are fitted apart.
The biases of long sounds lie 0.3 above the fit: that brought bursts at 0 dB, and no more false ones an hour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from assistant.cranking.around import dip_db, risen
from assistant.cranking.course import changes
from assistant.cranking.levels import LEVEL_RATE_HZ, Levels
from assistant.cranking.rate import Pulses
from assistant.cranking.traits import STEP

SHORTEST_S, LONGEST_S = 0.3, 25.0
"""No starter that can be told of turns shorter or longer. Source: judgement."""

_FELT = {
    "sure": 0.61, "strength": 0.68, "clear": 1.48, "begins": 0.70, "ends": 1.09, "dips": -0.47, "risen": 0.66,
    "engine": 1.59, "long": 0.44,
}  # fmt: skip
_FELT_BIAS = -7.33
"""For a burst that the trained layers found."""

_READ = {
    "votes": 1.97, "sure": 0.94, "strength": -0.58, "clear": 0.33, "begins": 0.33, "ends": 0.99, "dips": -0.48,
    "risen": -2.52, "engine": 0.43, "long": 0.19,
}  # fmt: skip
_READ_BIAS = -4.77
"""For a stretch of raised sound that was read as one, by the votes of physical tests."""

_FELT_BRIEF = {
    "sure": 0.54, "strength": -1.95, "clear": 1.69, "begins": -0.17, "ends": 1.21, "dips": 0.05, "risen": -0.94,
    "engine": -0.27, "long": -0.04,
}  # fmt: skip
_FELT_BRIEF_BIAS = -1.09
_READ_BRIEF = {
    "votes": 1.86, "sure": 0.84, "strength": -4.40, "clear": 2.40, "begins": 0.04, "ends": 0.93, "dips": 0.34,
    "risen": -1.66, "engine": 0.54, "long": -0.35,
}  # fmt: skip
_READ_BRIEF_BIAS = -1.96
"""The same two in a brief sound, whose edges and background say less; how likely it holds a starter is in the bias."""

_WEIGHTS = {
    (False, False): (_FELT, _FELT_BIAS),
    (True, False): (_READ, _READ_BIAS),
    (False, True): (_FELT_BRIEF, _FELT_BRIEF_BIAS),
    (True, True): (_READ_BRIEF, _READ_BRIEF_BIAS),
}
"""By whether the tests were asked, and whether the sound is brief."""

BRIEF_S = 8.0
"""A whole sound shorter than this is brief: a clip cut around one start, as most are. Source: judgement."""

_LEAST_SURE = -4.0
_LONG_S = 120.0
_MOST_CHANGE, _UNKNOWN_CHANGE, _UNKNOWN_RISE = 6.0, 1.5, 0.3  # an edge that the sound does not reach says nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What speaks for a starter.

    `sure`: mean log-odds by the trained layers. `votes`: of the physical tests, None where they were not asked.
    `strength`, `clear`: of the pulses. `begins`, `ends`: how much the levels change there, in their own spread.
    `dips`: dB. `risen`: 0 to 1. `engine`: 1 where an engine ran after it. `long`: logarithm of its seconds. `expected`:
    log-odds that stand before anything is heard. `brief`: whether that is a sound shorter than BRIEF_S.
    """

    sure: float
    votes: float | None
    strength: float
    clear: float
    begins: float
    ends: float
    dips: float
    risen: float
    engine: float
    long: float
    expected: float
    brief: bool

    @property
    def confidence(self) -> float:
        """How likely it was a starter, 0 to 1."""
        weights, bias = _WEIGHTS[self.votes is not None, self.brief]
        score = bias + self.expected + sum(weight * getattr(self, name) for name, weight in weights.items())
        return 1 / (1 + math.exp(-score))


def expected_in(seconds: float) -> float:
    """Log-odds that stand before anything is heard: who hands over a few seconds of sound recorded them for a reason.

    0 for two minutes and more, as for a shop that is listened to all day; 0 for brief sounds, whose weights hold it.
    Source: judgement.
    """
    return 0.0 if seconds < BRIEF_S else max(0.0, math.log(_LONG_S / seconds))


def prove(
    levels: Levels,
    start: int,
    stop: int,
    *,
    sure: float,
    votes: float | None,
    pulses: Pulses | None,
    engine: bool,
    expected: float,
    brief: bool = False,
) -> Proof:
    """What speaks for the stretch from level `start` to `stop`. `sure`: its mean log-odds by the trained layers."""
    width = int(1.5 * LEVEL_RATE_HZ / pulses.hz) if pulses is not None and pulses.hz >= 1 else 30
    alone = start < STEP and stop > len(levels) - 2 * STEP
    return Proof(
        sure=max(_LEAST_SURE, sure),
        votes=votes,
        strength=0.0 if pulses is None else pulses.strength,
        clear=0.0 if pulses is None else pulses.clear,
        begins=_UNKNOWN_CHANGE if start < STEP else _change_at(levels, start),
        ends=_UNKNOWN_CHANGE if stop > len(levels) - 2 * STEP else _change_at(levels, stop),
        dips=dip_db(levels[start:stop], max(5, width)),
        risen=_UNKNOWN_RISE if alone else float(np.mean(risen(levels, start, stop))),
        engine=float(engine),
        long=math.log(max(stop - start, 1) / LEVEL_RATE_HZ),
        expected=expected,
        brief=brief,
    )


def _change_at(levels: Levels, at: int) -> float:
    first = max(0, at // STEP - 20)
    near = levels[first * STEP : (at // STEP + 20) * STEP]
    return float(min(_MOST_CHANGE, changes(near, len(near) // STEP)[at // STEP - first]))

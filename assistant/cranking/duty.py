"""Starter duty: how long the starter may still turn, and how long it must rest.

The limits are `procedure.model.Duty`; procedure and vehicle may set others, and the vehicle maker's figure always wins.

Source: 15 s on, then 2 min off, is an application practice for petrol engines (SAE J1375 as summarised by a third
party); equipment manuals ask for 15 s then at least 3 min (TM 5-6115-545-12), 15 s then 3 to 5 min
(TM 5-5420-202-10) or 30 s then 2 min (TM 10-3930-671-24, page F-303). The defaults, 10 s with a hard stop at 15 s and
120 s of rest, satisfy the first. Adding up the bursts between two full rests is judgement, no source.

All times are seconds on one clock. A clock that seems to run backwards counts as no time passed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.procedure.model import Duty

USUAL = Duty()

_HAIR_S = 1e-6  # forgives the rounding of added seconds, so that ten bursts of 1 s do reach 10 s


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyState:
    """What the starter has done. `cranked_s`: seconds since the last full rest; `ended_s`: end of the last burst.

    `bursts` and `total_s` count everything and are never cleared.
    """

    cranked_s: float = 0.0
    ended_s: float | None = None
    bursts: int = 0
    total_s: float = 0.0


NOT_CRANKED = DutyState()


def burst(state: DutyState, start_s: float, end_s: float, limits: Duty = USUAL) -> DutyState:
    """The state after the starter turned from `start_s` to `end_s`.

    A burst that the program had refused is counted all the same: the starter is warm whoever allowed it.
    Raises: ValueError when a time is not finite or the end comes before the start.
    """
    if not (math.isfinite(start_s) and math.isfinite(end_s)) or end_s < start_s:
        raise ValueError(f"a burst must end at or after its start, got {start_s} to {end_s} s")
    seconds = end_s - start_s
    before_s = 0.0 if _rested(state, start_s, limits) else state.cranked_s
    latest_s = end_s if state.ended_s is None else max(end_s, state.ended_s)
    return DutyState(
        cranked_s=before_s + seconds,
        ended_s=latest_s,
        bursts=state.bursts + 1,
        total_s=state.total_s + seconds,
    )


def rest_left_s(state: DutyState, at_s: float, limits: Duty = USUAL) -> float:
    """Seconds until the starter may turn again; 0 when it may turn now."""
    if state.ended_s is None or state.cranked_s < limits.burst_s - _HAIR_S:
        return 0.0
    return 0.0 if _rested(state, at_s, limits) else limits.rest_s - _since(state, at_s)


def seconds_left(state: DutyState, at_s: float, limits: Duty = USUAL) -> float:
    """Seconds that the starter may turn from now before the release call; 0 while a rest is due."""
    if _rested(state, at_s, limits):
        return limits.burst_s
    return max(0.0, limits.burst_s - state.cranked_s)


def may_crank(state: DutyState, at_s: float, limits: Duty = USUAL) -> bool:
    """Whether no rest is due."""
    return rest_left_s(state, at_s, limits) <= _HAIR_S


def _since(state: DutyState, at_s: float) -> float:
    return math.inf if state.ended_s is None else max(0.0, at_s - state.ended_s)


def _rested(state: DutyState, at_s: float, limits: Duty) -> bool:
    return _since(state, at_s) >= limits.rest_s - _HAIR_S

"""Facts to state: the fold. There is no other way to change a state, so what is recorded is what is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import cached_property, partial

from assistant.bay import after
from assistant.cranking import duty as starter
from assistant.english import refusals
from assistant.errors import RecordError
from assistant.facts import Fact, PlanChanged
from assistant.guide.changes import CHANGES
from assistant.guide.places import (
    ANSWERED,
    TIMED,
    Library,
    before_it,
    duty_of,
    is_spray,
    may_check,
    may_skip,
    step_of,
    tries_used,
)
from assistant.guide.state import NEW, Mode, State
from assistant.guide.table import ASKED_OVER, CONDITIONS_OF, next_mode
from assistant.procedure.model import Kind, Step

_HAIR_S = 1e-6


class MoveRefused(Exception):
    """The transition table has no row for this fact in this mode."""


def fold(library: Library, facts: Iterable[Fact], state: State = NEW) -> State:
    """The state after these facts, from the beginning or from `state`.

    Raises RecordError when the facts do not fit the procedures at hand: another version of them, or damage.
    """
    for fact in facts:
        try:
            state = apply(library, state, fact)
        except (MoveRefused, LookupError, ValueError, TypeError) as reason:
            raise RecordError(
                f"The record of job '{state.job}' does not fit its procedures at fact {fact.number} "
                f"({fact.kind.value}): {reason}; it cannot go on with these; "
                "close it with: hoodside jobs close",
                spoken=refusals.RECORD_DOES_NOT_FIT,
            ) from reason
    return state


def apply(library: Library, state: State, fact: Fact) -> State:
    """The state after one more fact. Raises MoveRefused when it may not happen now, leaving nothing changed."""
    mode = next_mode(state.mode, fact.kind, _holding(library, state, fact))
    if mode is None:
        raise MoveRefused(f"{fact.kind.value} cannot happen while {state.mode.value}")
    change = CHANGES.get(fact.kind)
    changed = change(library, state, fact) if change else state
    bay = after(changed.bay, fact)
    came = bay.conditions - state.bay.conditions
    warned = tuple(each for each in changed.warned if not each.guards & came) if came else changed.warned
    return replace(changed, mode=mode, number=fact.number, at_s=max(state.at_s, fact.at_s), bay=bay, warned=warned)


class _Moment:
    """What the conditions of the table look at as a fact would happen."""

    def __init__(self, library: Library, state: State, fact: Fact) -> None:
        self.library = library
        self.state = state
        self.fact = fact

    @cached_property
    def step(self) -> Step:
        return step_of(self.library, self.state)

    @cached_property
    def before(self) -> tuple[object, object, object]:
        """Remedy, caution and gate that stand before the step."""
        return before_it(self.library, self.state)

    def runs(self, action: Callable[[str], bool] = lambda _: True) -> bool:
        """Whether such a timed action has begun."""
        timed = self.state.timed
        return timed is not None and timed.begun and action(timed.action)

    def is_over(self, until_s: float | None) -> bool:
        """Whether that time has come."""
        return until_s is not None and self.fact.at_s >= until_s - _HAIR_S

    def lies_over(self, mode: Mode) -> bool:
        """Whether what is asked stands over this mode."""
        return self.state.under is mode

    def may_start(self) -> bool:
        """Whether nothing stands before the step, no rest of the starter and no spray too many."""
        if any(each is not None for each in self.before) or tries_used(self.step, self.state):
            return False
        duty = duty_of(self.library, self.state)
        return self.step.kind is not Kind.CRANK or starter.may_crank(self.state.duty, self.fact.at_s, duty)


OF_THE_JOB: Mapping[str, Callable[[_Moment], bool]] = {
    "nothing_runs": lambda now: not now.runs(),
    "burst_runs": lambda now: now.runs(lambda action: action == "crank"),
    "burst_timed": lambda now: now.state.timed is not None and now.state.timed.action == "crank",
    "action_runs": lambda now: now.runs(is_spray),
    "rest_over": lambda now: now.is_over(now.state.rest_until_s),
    "wait_over": lambda now: now.is_over(now.state.wait_until_s),
    "closes": lambda now: now.state.finding or now.state.leaving,
    "nothing_open": lambda now: not now.state.open_items,
    "leaves_block": lambda now: isinstance(now.fact.said, PlanChanged) and bool(now.fact.said.put_off),
    "may_check": lambda now: may_check(now.library, now.state),
    **{f"under_{mode}": partial(_Moment.lies_over, mode=mode) for mode in ASKED_OVER},
}
OF_THE_STEP: Mapping[str, Callable[[_Moment], bool]] = {
    "caution_open": lambda now: now.before[1] is not None,
    "cautions_acknowledged": lambda now: now.before[1] is None,
    "gate_open": lambda now: now.before[2] is not None,
    "may_start": _Moment.may_start,
    "asks": lambda now: now.step.kind in ANSWERED,
    "times": lambda now: now.step.kind in TIMED,
    "tells": lambda now: now.step.kind is Kind.TELL,
    "untold": lambda now: now.step.kind is not Kind.TELL,
    "waits": lambda now: now.step.kind is Kind.WAIT,
    "cranks": lambda now: now.step.kind is Kind.CRANK,
    "burst_unanswered": lambda now: now.step.kind is Kind.CRANK and now.state.burst_done,
    "may_skip": lambda now: may_skip(now.step, now.state),
    "tries_used": lambda now: tries_used(now.step, now.state),
}


def _holding(library: Library, state: State, fact: Fact) -> list[str]:
    """The conditions that hold now, of those that the table has for such a fact. Before a job none does, and at no
    step none of a step."""
    if state.mode is Mode.NEW:
        return []
    now, looked_at = _Moment(library, state, fact), CONDITIONS_OF[fact.kind]
    holds = [name for name in looked_at if name in OF_THE_JOB and OF_THE_JOB[name](now)]
    return holds + [name for name in looked_at if state.at.step and name in OF_THE_STEP and OF_THE_STEP[name](now)]

"""Facts to state: the fold. There is no other way to change a state, so what is recorded is what is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

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
from assistant.guide.table import ASKED_OVER, next_mode
from assistant.procedure.model import Kind

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


def _holding(library: Library, state: State, fact: Fact) -> list[str]:
    """The conditions of the table that hold now."""
    if state.mode is Mode.NEW:
        return []
    timed, runs = state.timed, state.timed is not None and state.timed.begun
    holds = {
        "nothing_runs": not runs,
        "burst_runs": runs and timed is not None and timed.action == "crank",
        "burst_timed": timed is not None and timed.action == "crank",
        "action_runs": runs and timed is not None and is_spray(timed.action),
        "rest_over": state.rest_until_s is not None and fact.at_s >= state.rest_until_s - _HAIR_S,
        "wait_over": state.wait_until_s is not None and fact.at_s >= state.wait_until_s - _HAIR_S,
        "closes": state.finding or state.leaving,
        "nothing_open": not state.open_items,
        "leaves_block": isinstance(fact.said, PlanChanged) and bool(fact.said.put_off),
        "may_check": may_check(library, state),
    }
    holds |= {f"under_{mode}": state.under is mode for mode in ASKED_OVER}
    return [name for name, true in (holds | _of_step(library, state, fact)).items() if true]


def _of_step(library: Library, state: State, fact: Fact) -> dict[str, bool]:
    if not state.at.step:
        return {}
    step = step_of(library, state)
    remedy, caution, gate = before_it(library, state)
    rested = starter.may_crank(state.duty, fact.at_s, duty_of(library, state))
    ready = remedy is None and caution is None and gate is None
    return {
        "caution_open": caution is not None,
        "cautions_acknowledged": caution is None,
        "gate_open": gate is not None,
        "may_start": ready and (rested or step.kind is not Kind.CRANK) and not tries_used(step, state),
        "asks": step.kind in ANSWERED,
        "times": step.kind in TIMED,
        "waits": step.kind is Kind.WAIT,
        "cranks": step.kind is Kind.CRANK,
        "burst_unanswered": step.kind is Kind.CRANK and state.burst_done,
        "may_skip": may_skip(step, state),
        "tries_used": tries_used(step, state),
    }

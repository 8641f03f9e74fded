"""When the commands are legal and offered: each occasion that their rows name, as it is read off the state."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from assistant.guide.places import Library, may_check, may_skip, step_of
from assistant.guide.reckoned import reckoned_result
from assistant.guide.state import Mode, State
from assistant.guide.table import ASKED_OVER
from assistant.language.commands import ALWAYS, Control, When
from assistant.procedure.model import Kind

_SOMETIMES = tuple(control for control in Control if control.row.legal is not When.ALWAYS)


def legal_now(library: Library, state: State) -> frozenset[Control]:
    """The commands that are understood now; those of the session's own occasions are the session's to add."""
    if state.mode in (Mode.NEW, Mode.ENDED):
        return frozenset()
    return ALWAYS.union(each for each in _SOMETIMES if OCCASIONS[each.row.legal](library, state))


def offered_now(library: Library, state: State) -> tuple[Control, ...]:
    """The commands that are named among what can be said, in the order of their rows."""
    return tuple(each for each in Control if OCCASIONS[each.row.offered](library, state))


def _always(library: Library, state: State) -> bool:
    return True


def _never(library: Library, state: State) -> bool:
    return False


def _work_to_do(library: Library, state: State) -> bool:
    if state.mode is Mode.CLOSING:
        return not state.open_items
    return state.mode is Mode.ASKING and step_of(library, state).kind in (Kind.INSTRUCT, Kind.CODES)


def _starter_to_turn(library: Library, state: State) -> bool:
    asks = state.mode is Mode.ASKING and step_of(library, state).kind is Kind.CRANK
    return asks or state.mode is Mode.POISED


def _fault_found(library: Library, state: State) -> bool:
    return state.mode is Mode.CLOSING and bool(state.finding and state.found)


def _repair_to_check(library: Library, state: State) -> bool:
    return state.mode is Mode.CLOSING and not state.open_items and may_check(library, state)


def _car_known(library: Library, state: State) -> bool:
    return bool(state.offer) and state.mode in ASKED_OVER


def _steps_behind(library: Library, state: State) -> bool:
    return bool(state.history)


def _may_skip(library: Library, state: State) -> bool:
    return state.mode in (Mode.ASKING, Mode.POISED) and may_skip(step_of(library, state), state)


def _result_proposed(library: Library, state: State) -> bool:
    return reckoned_result(library, state) is not None


def _may_drop(library: Library, state: State) -> bool:
    return state.mode in (Mode.NOTING, Mode.EXPLAINING, Mode.EXCUSING)


def _plan_leads(library: Library, state: State) -> bool:
    return state.leads and state.mode is Mode.ASKING


def _may_strike(library: Library, state: State) -> bool:
    return bool(state.strikable)


OCCASIONS: Mapping[When, Callable[[Library, State], bool]] = MappingProxyType(
    {
        When.ALWAYS: _always,
        When.NEVER: _never,
        When.TOLD: _never,
        When.AIDED: _never,
        When.WORK_TO_DO: _work_to_do,
        When.STARTER_TO_TURN: _starter_to_turn,
        When.FAULT_FOUND: _fault_found,
        When.REPAIR_TO_CHECK: _repair_to_check,
        When.CAR_KNOWN: _car_known,
        When.STEPS_BEHIND: _steps_behind,
        When.MAY_SKIP: _may_skip,
        When.RESULT_PROPOSED: _result_proposed,
        When.MAY_DROP: _may_drop,
        When.PLAN_LEADS: _plan_leads,
        When.MAY_STRIKE: _may_strike,
    }
)
"""Each occasion, in a live mode; of the session's own the guide knows nothing."""

"""When the commands are legal and offered: each occasion that their rows name, as it is read off the state.

Offered is what does something now: nothing that would be refused, and nothing that would change nothing. What is
refused is said by the commands themselves (`guide.controls`); `tests/page/test_offered.py` holds both together
on every walk. Only the plan knows whether there is a better test: that is asked, and answered in words.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from assistant.guide.other_fuel import DIESEL, FUEL, HYBRID
from assistant.guide.places import (
    Library,
    may_be_led,
    may_be_left_undone,
    may_check,
    may_skip,
    may_turn_back,
    puts_all_back,
    step_of,
)
from assistant.guide.reckoned import reckoned_result
from assistant.guide.state import Mode, State
from assistant.guide.striking import strike_now
from assistant.guide.table import ASKED_OVER, EXCUSED_FROM, PASSED_FROM
from assistant.language.commands import ALWAYS, Control, When, phrase_of
from assistant.language.manner import Manner
from assistant.procedure.model import Kind

DROPPABLE = (Mode.NOTING, Mode.EXPLAINING, Mode.EXCUSING, Mode.PUTTING_BACK)
"""Modes that ask something over another one, and that a no gives back to it."""

_SKIPPED_FROM = (Mode.ASKING, Mode.POISED, Mode.CONFIRMING, Mode.HELD)
_SOMETIMES = tuple(control for control in Control if control.row.legal is not When.ALWAYS)


def legal_now(library: Library, state: State) -> frozenset[Control]:
    """The commands that are understood now; those of the session's own occasions are the session's to add."""
    if state.mode in (Mode.NEW, Mode.ENDED):
        return frozenset()
    return ALWAYS.union(each for each in _SOMETIMES if OCCASIONS[each.row.legal](library, state))


def offered_now(library: Library, state: State) -> tuple[Control, ...]:
    """The commands that are named among what can be said, in the order of their rows."""
    return tuple(each for each in Control if OCCASIONS[each.row.offered](library, state))


def ways_on(library: Library, state: State) -> tuple[str, ...]:
    """What leads on from a finding, by its phrases: nobody is asked for it, and who does not know it stops there."""
    ways = (Control.REPAIR_DONE, Control.ANOTHER) if state.mode is Mode.CLOSING else ()
    return tuple(phrase_of(each) for each in ways if OCCASIONS[each.row.offered](library, state))


def _always(library: Library, state: State) -> bool:
    return True


def _never(library: Library, state: State) -> bool:
    return False


def _work_to_do(library: Library, state: State) -> bool:
    if state.mode is Mode.CLOSING:
        return not state.open_items
    if state.mode is Mode.PUTTING_BACK:
        return True
    return state.mode is Mode.ASKING and step_of(library, state).kind in (Kind.INSTRUCT, Kind.CODES)


def _starter_to_turn(library: Library, state: State) -> bool:
    asks = state.mode is Mode.ASKING and step_of(library, state).kind is Kind.CRANK
    return asks or state.mode is Mode.POISED


def _fault_found(library: Library, state: State) -> bool:
    return state.mode is Mode.CLOSING and bool(state.finding and state.found)


def _repair_to_check(library: Library, state: State) -> bool:
    return state.mode is Mode.CLOSING and not state.open_items and may_check(library, state)


def _car_known(library: Library, state: State) -> bool:
    return state.offer is not None and state.mode in ASKED_OVER


def _steps_behind(library: Library, state: State) -> bool:
    return may_turn_back(library, state)


def _may_skip(library: Library, state: State) -> bool:
    return state.mode in _SKIPPED_FROM and may_skip(step_of(library, state), state)


def _result_proposed(library: Library, state: State) -> bool:
    return reckoned_result(library, state) is not None


def _may_drop(library: Library, state: State) -> bool:
    return state.mode in DROPPABLE and not must_put_back(state)


def must_put_back(state: State) -> bool:
    """Whether no "no" gives back what is under it: what cannot be done is left out by then, and comes off."""
    return state.mode is Mode.PUTTING_BACK and not any(state.wanted)


def _nothing_asked_over(library: Library, state: State) -> bool:
    return state.mode in ASKED_OVER


def leaves_now(state: State) -> bool:
    """Whether the technician may be led elsewhere: not while something is counted, held or asked over this."""
    stays = state.mode is Mode.HELD or (state.mode is Mode.CLOSING and not state.finding)
    return state.mode in ASKED_OVER and not stays


def may_lead_elsewhere(library: Library, state: State) -> bool:
    """Whether "another test", or one that is named, may be asked for."""
    if not state.leads or not leaves_now(state):
        return False
    return may_be_led(library, state) or puts_all_back(library, state) is not None


def _excusable(library: Library, state: State) -> bool:
    passes = state.mode in PASSED_FROM and may_skip(step_of(library, state), state)
    return state.mode in EXCUSED_FROM and (may_be_left_undone(library, state) or passes)


def _plan_leads(library: Library, state: State) -> bool:
    return state.leads


def _book_leads(library: Library, state: State) -> bool:
    return not state.leads and library[state.root].led is not None


def _no_diesel(library: Library, state: State) -> bool:
    return leaves_now(state) and state.vehicle.get(FUEL) != DIESEL


def _no_hybrid(library: Library, state: State) -> bool:
    heard = leaves_now(state) or state.mode in (Mode.HELD, Mode.TIMING)  # it is a danger, which ends a count
    return heard and state.vehicle.get(HYBRID) != "yes"


def _may_strike(library: Library, state: State) -> bool:
    if _may_drop(library, state) or state.mode in (Mode.ENDING, Mode.CONFIRMING):
        return True
    return state.mode in ASKED_OVER and strike_now(state) is not None


def _not_ending(library: Library, state: State) -> bool:
    return state.mode not in (Mode.ENDING, Mode.STRIKING)


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
        When.NOTHING_ASKED_OVER: _nothing_asked_over,
        When.EXCUSABLE: _excusable,
        When.ELSEWHERE: may_lead_elsewhere,
        When.PLAN_LEADS: _plan_leads,
        When.BOOK_LEADS: _book_leads,
        When.NO_DIESEL: _no_diesel,
        When.NO_HYBRID: _no_hybrid,
        When.MAY_STRIKE: _may_strike,
        When.NOT_ENDING: _not_ending,
        When.NOT_FULL: lambda _library, state: state.manner is not Manner.FULL,
        When.NOT_BRIEF: lambda _library, state: state.manner is not Manner.BRIEF,
        When.NOT_TERSE: lambda _library, state: state.manner is not Manner.TERSE,
        When.TONES_SOUND: lambda _library, state: state.tones,
        When.TONES_MUTE: lambda _library, state: not state.tones,
    }
)
"""Each occasion, in a live mode; of the session's own the guide knows nothing."""

"""Which commands do something now, beside the answers: none that would be refused, and none that would change nothing.

What is refused is said by the commands themselves (`guide.controls`); `tests/page/test_offered.py` holds both against
each other on every walk. Only the plan knows whether there is a better test: that is asked, and answered in words.
"""

from __future__ import annotations

from assistant.guide.other_fuel import DIESEL, FUEL
from assistant.guide.places import Library, may_leave, may_skip, may_turn_back, step_of
from assistant.guide.reckoned import reckoned_result
from assistant.guide.state import Mode, State
from assistant.guide.striking import strike_now
from assistant.guide.table import ASKED_OVER, EXCUSED_FROM
from assistant.language.commands import phrase_of
from assistant.language.manner import Manner
from assistant.language.model import Control, Expected

DROPPABLE = (Mode.NOTING, Mode.EXPLAINING, Mode.EXCUSING)
"""Modes that ask something over another one, and that a no gives back to it."""

_SKIPPED_FROM = (Mode.ASKING, Mode.POISED, Mode.CONFIRMING, Mode.HELD)
_MANNERS = {Manner.FULL: Control.FULL, Manner.BRIEF: Control.BRIEF, Manner.TERSE: Control.TERSE}


def offered(library: Library, state: State, now: Expected) -> tuple[str, ...]:
    """The phrases of these commands, those that are reached for most first. `now`: what is understood."""
    may = {
        Control.GO_BACK: may_turn_back(library, state),
        Control.SKIP: state.mode in _SKIPPED_FROM and may_skip(step_of(library, state), state),
        Control.YES: reckoned_result(library, state) is not None,
        Control.NO: state.mode in DROPPABLE,
        Control.NOTE: state.mode in ASKED_OVER,
        Control.REPAIR_DONE: Control.REPAIR_DONE in now.controls,
        Control.REPAIR_CONFIRMED: Control.REPAIR_CONFIRMED in now.controls,
        Control.CANNOT: _excusable(library, state),
        Control.ANOTHER: may_lead_elsewhere(library, state),
        Control.STRIKE: _strikes(state),
        Control.SAME_CAR: Control.SAME_CAR in now.controls,
        Control.DIESEL: leaves_now(state) and state.vehicle.get(FUEL) != DIESEL,
        Control.LEAD: not state.leads and library[state.root].led is not None,
        Control.BY_THE_BOOK: state.leads,
        Control.END_JOB: state.mode not in (Mode.ENDING, Mode.STRIKING),
        Control.NO_TONES: state.tones,
        Control.TONES: not state.tones,
    } | {control: state.manner is not manner for manner, control in _MANNERS.items()}
    return tuple(phrase_of(control) for control in _ORDER if may.get(control, True))


_ORDER = (
    Control.STOP, Control.PAUSE, Control.SAY_AGAIN, Control.GO_BACK, Control.SKIP, Control.YES, Control.NO,
    Control.WHERE, Control.OPTIONS, Control.HOW_LONG, Control.NOTE, Control.REPAIR_DONE, Control.REPAIR_CONFIRMED,
    Control.CANNOT, Control.ANOTHER, Control.STRIKE, Control.SAME_CAR, Control.DIESEL, Control.LEAD,
    Control.BY_THE_BOOK, Control.END_JOB, Control.LOUDER, Control.SOFTER, Control.SLOWER, Control.FASTER,
    Control.FULL, Control.BRIEF, Control.TERSE, Control.TONES, Control.NO_TONES,
)  # fmt: skip


def leaves_now(state: State) -> bool:
    """Whether the technician may be led elsewhere: not while something is counted, held or asked over this."""
    stays = state.mode is Mode.HELD or (state.mode is Mode.CLOSING and not state.finding)
    return state.mode in ASKED_OVER and not stays


def may_lead_elsewhere(library: Library, state: State) -> bool:
    """Whether "another test", or one that is named, may be asked for."""
    return state.leads and leaves_now(state) and may_leave(library, state)


def _excusable(library: Library, state: State) -> bool:
    step = step_of(library, state)
    begun = state.instructed and bool(step.removes)
    led = state.leads and not begun and may_leave(library, state)
    passes = state.mode in (Mode.ASKING, Mode.POISED, Mode.CONFIRMING) and may_skip(step, state)
    return state.mode in EXCUSED_FROM and (led or passes)


def _strikes(state: State) -> bool:
    if state.mode in (*DROPPABLE, Mode.ENDING, Mode.CONFIRMING):
        return True
    return state.mode in ASKED_OVER and strike_now(state) is not None

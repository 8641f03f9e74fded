""" "I can't do that": why not is asked, kept for the rest of the job, and the plan goes on without it."""

from __future__ import annotations

from assistant.english import refusals, sayings
from assistant.facts import CannotAsked, ItemRefitted, TestLeftOut
from assistant.guide.arrive import enter_led, go_to, leave_undone
from assistant.guide.leading import change
from assistant.guide.places import may_be_left_undone, may_skip, taken_off_here, way_past
from assistant.guide.putting_back import ask_to_put_back
from assistant.guide.state import Frame, Mode, State
from assistant.guide.table import EXCUSED_FROM, PASSED_FROM
from assistant.guide.turn import Choose, Making, Refused
from assistant.guide.words import hint
from assistant.language.model import GiveResult


def cannot(making: Making) -> None:
    """Ask why it cannot be done. Raises Refused where the job could not go on without it."""
    state = making.state
    if state.mode not in EXCUSED_FROM:
        raise Refused(refusals.FINISH_FIRST)
    if _plan(making) is None and not _may_skip(making, state):
        if state.open_items and state.leads:
            raise Refused(refusals.put_right_first(state.open_items[0]))
        raise Refused(refusals.DECIDES_THE_WAY)
    making.note(CannotAsked())
    making.add(*hint(making.library, making.state))


def excuse(making: Making, given: GiveResult) -> None:
    """The reason: what needs the same is left out for this job, and the plan, or else the procedure, goes on."""
    before, own = making.state, taken_off_here(making.step, making.state)
    past = way_past(making.step) if _may_skip(making, before) else None
    choose = _plan(making)
    if choose is not None:
        leave_undone(making)
    making.note(TestLeftOut(why=given.result, words=given.words, hearing=making.hearing))
    making.say(sayings.left_out(given.words), "readback")
    for item in own:
        making.say(refusals.put_right_first(item))
        making.note(ItemRefitted(item=item))
    if choose is not None and making.state.open_items:
        ask_to_put_back(making)
        return
    target = Frame(procedure=before.at.procedure, step=past) if past else None
    led = choose.rather(making.state, making.facts, target) if choose is not None else None
    if led is not None:
        enter_led(making, change(making, led))
    elif past is not None:
        leave_undone(making)
        go_to(making, past, how="skip")
    else:
        raise Refused(refusals.NO_OTHER_TEST)


def _plan(making: Making) -> Choose | None:
    """The plan, where it may lead away from what was perhaps begun."""
    return making.choose if may_be_left_undone(making.library, making.state) else None


def _may_skip(making: Making, state: State) -> bool:
    """Whether the step may be passed over as by a skip; before its cautions are answered the plan alone leads away."""
    under = state.under if state.mode is Mode.EXCUSING else state.mode
    return under in PASSED_FROM and may_skip(making.step, state)

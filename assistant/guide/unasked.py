"""What is told unasked: a test by own choice, a state of car and bay, that vapour is gone; and what that breaks off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from assistant import facts
from assistant.english import refusals, sayings
from assistant.guide.answers import echo_of
from assistant.guide.arrive import enter, enter_led, leave_undone
from assistant.guide.leading import change
from assistant.guide.mended import NO_FAULT
from assistant.guide.occasions import leaves_now
from assistant.guide.places import clears_here, forbidden_now, may_check, may_leave, targets_of
from assistant.guide.plan_changes import written
from assistant.guide.state import Frame, Mode
from assistant.guide.timing import hold
from assistant.guide.turn import Led, Making, Refused
from assistant.guide.words import hint
from assistant.language.model import TellTest
from assistant.language.out_of_turn import AIRED, CAR_AND_BAY
from assistant.procedure.condition import Condition


def tell_test(making: Making, told: TellTest) -> None:
    """A test that nobody asked for, and its result: kept as said. It clears no caution, and moves nothing but work that
    may not go on by what it tells of car and bay, and all of it where the engine runs. Fire, and all that is told while
    a timed action is counted, stops as the word does."""
    if told.result == AIRED:
        _refuse_airing(making)
    counted = making.state.mode is Mode.TIMING
    if told.stops or counted:
        hold(making, facts.Stopped, "stop")
    echo = echo_of(making, told.words)
    before, so_before = forbidden_now(making.library, making.state), making.state.bay.conditions
    to = where_it_runs(making, held=counted) if str(Condition.ENGINE_RUNS) in told.makes else None
    if to is not None:  # it is asked there what that tells of the car
        told = replace(told, test=CAR_AND_BAY, result=str(Condition.ENGINE_RUNS))
    making.note(
        facts.TestTold(test=told.test, result=told.result, words=told.words, makes=told.makes, hearing=making.hearing),
        at=Frame(procedure=making.state.root, step=""),
    )
    making.say(echo, "readback")
    for each, caution in COMES_UP.items():
        making.say(caution if each in making.state.bay.conditions - so_before else "", "caution")
    if to is None:
        break_off(making, before)
    else:
        state = making.state
        waits = () if state.mode is Mode.CLOSING else written((*state.position.stack, state.at))
        enter_led(making, change(making, to, aside=waits))


def where_it_runs(making: Making, *, held: bool = False) -> Led | None:
    """The step where it is asked what was done before the engine ran, told out of turn; None where one stays: what
    comes before any plan is not behind, something is off the car, a repair is checked, or it is known already.

    `held`: on hold by this telling, no earlier."""
    state, led = making.state, making.library[making.state.root].led
    first = (*state.position.stack, state.at)[0]
    if led is None or not led.runs or first.procedure != state.root or Condition.ENGINE_RUNS in state.bay.conditions:
        return None
    behind = targets_of(making.library[state.root].step(led.runs))
    if first.step == led.runs or first.step in behind or not (held or leaves_now(state)):
        return None
    if not may_leave(making.library, state) or (state.instructed and making.step.removes):
        return None
    named = state.mode is Mode.CLOSING and may_check(making.library, state) and state.found not in NO_FAULT
    return Led(step=led.runs, why="", fault=state.found if named else "")


def _refuse_airing(making: Making) -> None:
    """Raises Refused where nothing is to be aired now by word: none is about, it is under way, or comes by itself."""
    state = making.state
    if state.clearing or clears_here(making.library, state):
        raise Refused(refusals.CLEARED_BY_TIME)
    if not state.vapour:
        raise Refused(refusals.NO_VAPOUR)


def break_off(making: Making, before: Condition | None) -> None:
    """Leave off what may not go on by what was just told, and lead to what makes it allowed; else ask on.

    `before`: what forbade the present step before it was told.
    """
    state, forbidden = making.state, forbidden_now(making.library, making.state)
    news = forbidden is not None and forbidden is not before
    if news and state.mode in STOPPED_BY_A_TEST and not state.burst_done:
        if state.instructed:
            making.say(sayings.LEAVE_OFF, "caution")
        leave_undone(making)
        enter(making, state.at, "again")
        return
    making.add(*hint(making.library, making.state))


COMES_UP: Mapping[Condition, str] = {
    Condition.LEAK: sayings.FIND_THE_LEAK,
    Condition.WRONG_FUEL: sayings.WRONG_FUEL,
    Condition.ENGINE_RUNS: sayings.CLEAR_OF_BELTS,
}
"""What is said at once where a telling made it so."""

STOPPED_BY_A_TEST = frozenset({Mode.CAUTIONING, Mode.GATING, Mode.POISED, Mode.ASKING, Mode.CONFIRMING})
"""Modes in which work may be about to begin, or be under way."""

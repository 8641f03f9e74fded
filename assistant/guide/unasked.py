"""What is told unasked: a test by own choice, a state of car and bay, that vapour is gone; and what that breaks off."""

from __future__ import annotations

from collections.abc import Mapping

from assistant import facts
from assistant.english import refusals, sayings
from assistant.guide.answers import echo_of, give_result
from assistant.guide.arrive import enter, enter_led, leave_undone
from assistant.guide.banged import warn_of_lightness
from assistant.guide.leading import change, where_it_runs
from assistant.guide.occasions import leaves_now
from assistant.guide.places import clears_here, forbidden_now, may_ask_what_ran
from assistant.guide.plan_changes import written
from assistant.guide.proposal import started_by
from assistant.guide.state import Mode
from assistant.guide.timing import burst_said, hold
from assistant.guide.turn import Making, Refused
from assistant.guide.words import asked_again, hint
from assistant.language.model import GiveResult, TellTest
from assistant.language.out_of_turn import AIRED, ASKED_NEXT
from assistant.procedure.condition import Condition


def tell_test(making: Making, told: TellTest) -> None:
    """A test that nobody asked for, and its result: kept as said. It clears no caution, and moves nothing but work that
    may not go on by what it tells of car and bay, and all of it where the engine runs. Fire, and all that is told while
    a timed action is counted, stops as the word does. Once the engine runs it is asked what was done before; where that
    is not to be asked yet, it is as soon as it may be."""
    if told.result == AIRED:
        _refuse_airing(making)
    if told.test == ASKED_NEXT:
        _keep_for_the_next(making, told)
        return
    runs, mode = str(Condition.ENGINE_RUNS) in told.makes, making.state.mode
    started = started_by(making.step) if runs and mode is Mode.POISED else None
    if started is not None:  # whoever was to crank has done so without our tone
        burst_said(making)
    if told.stops or mode is Mode.TIMING:
        hold(making, facts.Stopped, "stop")
    burns = told.stops and Condition.BURNED in told.makes
    making.say(sayings.FIRE if burns else "", "caution")
    before = _note(making, told)
    if started is not None:
        give_result(making, GiveResult(result=started.id, words=started.phrases[0]))
    elif runs and (mode is Mode.TIMING or leaves_now(making.state)) and may_ask_what_ran(making.library, making.state):
        state = making.state
        waits = () if state.mode is Mode.CLOSING else written((*state.position.stack, state.at))
        enter_led(making, change(making, where_it_runs(making), aside=waits))
    else:
        break_off(making, before)


def _keep_for_the_next(making: Making, told: TellTest) -> None:
    """It is offered at its own question, and the present one is asked once more."""
    _note(making, told)
    making.say(sayings.FIRST_THIS)
    making.add(*asked_again(making.library, making.state))


def _note(making: Making, told: TellTest) -> Condition | None:
    """Keep what was told and say it; what forbade the present step before."""
    echo = echo_of(making, told.words)
    before, so_before = forbidden_now(making.library, making.state), making.state.bay.conditions
    making.note_of_job(
        facts.TestTold(test=told.test, result=told.result, words=told.words, makes=told.makes, hearing=making.hearing)
    )
    making.say(echo, "readback")
    for each, caution in COMES_UP.items():
        making.say(caution if each in making.state.bay.conditions - so_before else "", "caution")
    warn_of_lightness(making, told.test, told.result)
    carburettor = {Condition.NO_COMPUTER, Condition.NO_PUMP} <= making.state.bay.conditions - so_before
    making.say(sayings.NO_PUMP if carburettor else "", "caution")
    hot = Condition.OVERHEATED in making.state.bay.conditions - so_before
    if hot and forbidden_now(making.library, making.state) is before:  # else it is led to its caution at once
        making.say(sayings.OVERHEATED, "caution")
    return before


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


def warn_again(making: Making) -> None:
    """Who goes on is told once more that somebody is at the car, unless it is asked at once whether all are clear."""
    near = Condition.SOMEBODY_NEAR
    if near in making.state.bay.conditions and forbidden_now(making.library, making.state) is not near:
        making.say(sayings.SOMEBODY_NEAR, "caution")


COMES_UP: Mapping[Condition, str] = {
    Condition.LEAK: sayings.FIND_THE_LEAK,
    Condition.WRONG_FUEL: sayings.WRONG_FUEL,
    Condition.ENGINE_RUNS: sayings.CLEAR_OF_BELTS,
    Condition.HELPER: sayings.HELPER,
    Condition.BANGED: sayings.BANG,
    Condition.BINDS: sayings.BINDS,
    Condition.SOMEBODY_NEAR: sayings.SOMEBODY_NEAR,
    Condition.NO_COMPUTER: sayings.NO_COMPUTER,
}
"""What is said at once where a telling made it so."""

STOPPED_BY_A_TEST = frozenset({Mode.CAUTIONING, Mode.GATING, Mode.POISED, Mode.ASKING, Mode.CONFIRMING})
"""Modes in which work may be about to begin, or be under way."""

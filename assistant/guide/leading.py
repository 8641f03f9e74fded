"""The plan leads: which block of the root procedure comes next, where the technician wants it so.

A block is a step of the root procedure with all that it calls, up to the next block. The guide follows its procedures
step by step; only where they go from one block to the next may a plan choose another one, or, anywhere, put the rest of
a block aside, to come back to it, or end the tests once testing pays no more. It does so only while nothing is off the
car, never out of a spray before its vapour is cleared, and never before intake and safety. What was chosen and why is a
fact, so that a job taken up again stands where it stood.
"""

from __future__ import annotations

from assistant.english import refusals, sayings
from assistant.facts import HowHeard, PlanChanged
from assistant.guide.mended import NO_FAULT
from assistant.guide.places import clears_here, may_ask_what_ran, may_check, may_leave
from assistant.guide.plan_changes import written
from assistant.guide.state import Frame, Mode, Position, State
from assistant.guide.turn import Choose, Led, Making, Refused
from assistant.language.complaints import told_in
from assistant.language.manner import Manner


def lead_on(making: Making, target: Frame) -> Position | None:
    """Where the plan goes on instead of at `target`; None where the procedure goes on by itself."""
    state = making.state
    if state.ran and may_ask_what_ran(making.library, state):
        waits = written((*state.position.stack, target))
        return change(making, where_it_runs(making), aside=() if state.mode is Mode.CLOSING else waits)
    if making.choose is None or not state.leads or not may_leave(making.library, state):
        return None
    if (first := _told_beside(making, target)) is not None:
        return change(making, first, instead=target.step)
    making.say(making.choose.ended(state, making.facts, target))
    led = making.choose(state, making.facts, target)
    if led is None or (led.back is None and Frame(procedure=state.root, step=led.step) == target):
        return None
    aside = written((*state.position.stack, target)) if led.aside else ()
    return change(making, led, instead=target.step, aside=aside)


def _told_beside(making: Making, target: Frame) -> Led | None:
    """The procedure beside the root that answers what the complaint told, gone to once, before any block."""
    state = making.state
    led = making.library[state.root].led
    if led is None or target.procedure != state.root or not led.beside:
        return None
    said = [kept.words for kept in state.strikable if kept.kind == "words"]
    told = frozenset(each for words in said for each in told_in(words))
    for each in led.beside:
        if each.told in told and each.procedure not in state.chosen and each.procedure in making.library:
            begin = Frame(procedure=each.procedure, step=making.library[each.procedure].begin)
            return Led(step=each.procedure, why=each.say, back=Position(at=begin))
    return None


def put_off(making: Making) -> Position:
    """Leave the present block for another test. Raises Refused in the words that say why not."""
    led = leader(making)(making.state, making.facts, None)
    if led is None or led.step == block_of(making.state):
        raise Refused(refusals.NO_BETTER_TEST)
    return change(making, led)


def take_to(making: Making, block: str, name: str) -> Position:
    """Leave the present block for one that was named. Raises Refused in the words that say why not."""
    why = leader(making).closed(making.state, making.facts, block)
    if why:
        raise Refused(why)
    said = Led(step=block, why=sayings.to_test(name))
    return change(making, said, by="technician", hearing=making.hearing)


def where_it_runs(making: Making) -> Led:
    """The step where it is asked what was done before the engine ran, told out of turn. From a finding on it is the
    repair of what was found that may have been done."""
    state, led = making.state, making.library[making.state.root].led
    named = state.mode is Mode.CLOSING and may_check(making.library, state) and state.found not in NO_FAULT
    return Led(step=led.runs if led is not None else "", why="", fault=state.found if named else "")


def follow_up(making: Making) -> Led | None:
    """What is offered where a repair held: the procedure that looks for what it left open; None where there is none."""
    state = making.state
    offers = state.mode is Mode.CLOSING and state.leads and state.mended and not state.open_items
    return making.choose.follows(state) if offers and making.choose is not None else None


def take_follow_up(making: Making) -> Position:
    """Into the procedure that was offered. Raises Refused where none was."""
    led = follow_up(making)
    if led is None:
        raise Refused(refusals.NOTHING_TO_CONFIRM)
    left = block_of(making.state)
    making.note(PlanChanged(instead=left, put_off=left, by="technician", hearing=making.hearing, why=led.why))
    return Position(at=Frame(procedure=led.step, step=making.library[led.step].begin))


def leader(making: Making) -> Choose:
    """The plan, where it may take the technician elsewhere now. Raises Refused in the words that say why not."""
    state = making.state
    if making.choose is None or not state.leads:
        raise Refused(refusals.LEAD_FIRST)
    if state.open_items:
        raise Refused(refusals.put_right_first(state.open_items[0]))
    if clears_here(making.library, state):
        raise Refused(refusals.CLEAR_FIRST)
    if not may_leave(making.library, state):
        raise Refused(refusals.SAFETY_FIRST)
    return making.choose


def change(
    making: Making,
    led: Led,
    *,
    instead: str = "",
    aside: tuple[tuple[str, str], ...] = (),
    by: str = "",
    hearing: HowHeard | None = None,
) -> Position:
    """Keep and say what the plan chose; a repair that is proposed is said by its finding.

    `instead`: of which step, as the procedure goes on; without it the present block is left, for another.
    """
    left = "" if instead else block_of(making.state)
    making.note(
        PlanChanged(
            to=led.step,
            instead=instead or left,
            aside=aside,
            put_off=left,
            by=by,
            hearing=hearing,
            why=led.why,
            test=led.test,
            again=led.test if led.again else "",
            fault=led.fault,
            back=led.back is not None,
            settles=led.settles,
        )
    )
    if not _ends_tests(making, led):
        making.say(led.why if making.state.manner is Manner.FULL else led.briefly or led.why)
    return led.back or Position(at=Frame(procedure=making.state.root, step=led.step))


def block_of(state: State) -> str:
    """The step of the root procedure that the technician is in."""
    return state.position.stack[0].step if state.position.stack else state.at.step


def _ends_tests(making: Making, led: Led) -> bool:
    known = making.library[making.state.root].led
    return known is not None and led.step in (known.repair, known.search)

"""What is off the car as somebody is led elsewhere is put right first: asked by itself, so that its "done" is of
nothing else, and then the way that was asked for is taken."""

from __future__ import annotations

from assistant.english import refusals, sayings
from assistant.facts import ItemRefitted, PutBackAsked
from assistant.guide.arrive import enter, enter_led, leave_undone
from assistant.guide.leading import change, leader, put_off, take_to
from assistant.guide.places import may_be_led, puts_all_back
from assistant.guide.state import Frame, Mode
from assistant.guide.turn import Making, Refused
from assistant.guide.words import hint
from assistant.language.commands import Control, phrase_of

ANOTHER = phrase_of(Control.ANOTHER)


def go_elsewhere(making: Making, block: str = "", name: str = ANOTHER) -> None:
    """Enter the block that was named, or without one what the plan would rather test, once all is put right that this
    step or one before it took off."""
    leave_undone(making)
    plan = making.choose is not None and making.state.leads
    if block and making.choose is not None and (why := making.choose.closed(making.state, making.facts, block)):
        raise Refused(why)  # before anything is asked for
    if making.state.open_items and (block or plan):
        if may_be_led(making.library, making.state):
            ask_to_put_back(making, block, name)
            return
        step = puts_all_back(making.library, making.state)
        if step is not None:
            _put_back_by_its_step(making, step, block, name)
            return
    _take_way(making, block, name)


def _take_way(making: Making, block: str, name: str) -> None:
    enter_led(making, take_to(making, block, name) if block else put_off(making))


def _put_back_by_its_step(making: Making, step: str, block: str, name: str) -> None:
    """What is put back with care has its own step, with its cautions; the way is taken as that is done."""
    making.say(refusals.put_right_first(making.state.open_items[0]))
    making.note(PutBackAsked(to=block, name=name))
    enter(making, Frame(procedure=making.state.at.procedure, step=step), "put-back")


def way_kept(making: Making) -> bool:
    """Take the way that was asked for before this step put all back. False where none was."""
    block, name = making.state.wanted
    if making.state.mode is not Mode.MOVING or making.state.open_items or not (block or name):
        return False
    _take_way(making, block, name)
    return True


def ask_to_put_back(making: Making, block: str = "", name: str = "") -> None:
    """Ask for what is off the car. `block`: the way to be taken then; empty for what the plan would rather test,
    by word where there is a `name`, else since the present test is left out."""
    making.note(PutBackAsked(to=block, name=name))
    making.add(*hint(making.library, making.state))


def put_back(making: Making, words: str) -> None:
    """The first thing is where it belongs: the next is asked for, else the way is taken."""
    item, wanted = making.state.open_items[0], making.state.wanted
    if making.state.mode is not Mode.PUTTING_BACK:
        raise Refused(refusals.NOTHING_TO_DO)
    making.note(ItemRefitted(item=item, said=words, hearing=making.hearing))
    making.say(sayings.settled(item, back=True), "readback")
    if making.state.open_items:
        making.add(*hint(making.library, making.state))
        return
    block, name = wanted
    if block or name:
        _take_way(making, block, name)
        return
    led = leader(making).rather(making.state, making.facts, None)
    if led is None:
        raise Refused(refusals.NO_OTHER_TEST)
    enter_led(making, change(making, led))

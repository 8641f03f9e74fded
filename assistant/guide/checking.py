"""A repair is checked in the same job: what it was of and how long it took, and whether the car starts since."""

from __future__ import annotations

from assistant.english import refusals
from assistant.guide.arrive import enter
from assistant.guide.mended import NO_FAULT, begin_check
from assistant.guide.places import may_check
from assistant.guide.state import Mode
from assistant.guide.turn import Making, Refused
from assistant.guide.words import open_words
from assistant.procedure.model import Proof


def repair_done(making: Making) -> None:
    """What was found is repaired: enter the recheck. Raises Refused where there is nothing to check."""
    state, led = making.state, making.library[making.state.root].led
    if state.mode is not Mode.CLOSING or led is None or not may_check(making.library, state):
        raise Refused(refusals.NO_REPAIR_TO_CHECK)
    if state.open_items:
        raise Refused(open_words(state))
    found = making.step.finding
    named = found is not None and found.repair is not Proof.FAILS and state.found not in NO_FAULT
    fault = state.repaired if state.repaired is not None else state.found if named else ""
    enter(making, begin_check(making, led, fault, since_s=state.found_s, hearing=making.hearing), "check")

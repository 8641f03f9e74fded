"""What was mended before the guide was told: it is checked in the same job, as a repair that was proposed is."""

from __future__ import annotations

from assistant.english import sayings
from assistant.facts import HowHeard, RepairDone
from assistant.guide.state import Frame
from assistant.guide.turn import Making
from assistant.procedure.model import Leading, Proof

NO_FAULT = frozenset({"open", "not-ready"})
"""Ends that name no fault; what was repaired then, the desk may say."""


def check_mended(making: Making) -> Frame | None:
    """The first step of the recheck where the present step is the end that says so; None at any other, and while
    something is off the car. The repair is the one that was found last, where the technician came from its finding."""
    state, led, found = making.state, making.library[making.state.root].led, making.step.finding
    if led is None or found is None or found.repair is not Proof.DONE or state.open_items:
        return None
    return begin_check(making, led, state.proposed, since_s=state.found_s if state.proposed else making.at_s)


def begin_check(making: Making, led: Leading, fault: str, *, since_s: float, hearing: HowHeard | None = None) -> Frame:
    """Keep that it was repaired, and how long that took. The first step of the recheck."""
    minutes = round((making.at_s - since_s) / 60.0, 1)
    making.note(RepairDone(fault=fault, minutes=minutes, hearing=hearing))
    making.say(sayings.CHECKING)
    return Frame(procedure=led.recheck, step=making.library[led.recheck].begin)

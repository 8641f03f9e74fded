"""What was mended before the guide was told: it is checked in the same job, as a repair that was proposed is."""

from __future__ import annotations

from assistant.english import sayings
from assistant.facts import RepairDone
from assistant.guide.state import Frame
from assistant.guide.turn import Making
from assistant.procedure.model import Proof

NO_FAULT = frozenset({"open", "not-ready"})
"""Ends that name no fault; what was repaired then, the desk may say."""


def check_mended(making: Making) -> Frame | None:
    """The first step of the recheck where the present step is the end that says so; None at any other, and while
    something is off the car. The repair is the one that was found last, where the technician came from its finding."""
    state, led, found = making.state, making.library[making.state.root].led, making.step.finding
    if led is None or found is None or found.repair is not Proof.DONE or state.open_items:
        return None
    fault = state.proposed
    minutes = round((making.at_s - state.found_s) / 60.0, 1) if fault else 0.0
    making.note(RepairDone(fault=fault, minutes=minutes))
    making.say(sayings.CHECKING)
    return Frame(procedure=led.recheck, step=making.library[led.recheck].begin)

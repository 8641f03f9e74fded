"""The end of a job: nothing stays off the car unsaid, and nothing ends unless it was confirmed."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.bay import SAID
from assistant.english import refusals, sayings
from assistant.facts import (
    EndConfirmed,
    Fact,
    FactKind,
    ItemLeftOff,
    ItemRefitted,
    JobEnded,
    JobStarted,
    RepairConfirmed,
    fact_of,
)
from assistant.guide.arrive import leave_undone
from assistant.guide.fold import MoveRefused
from assistant.guide.state import Mode
from assistant.guide.turn import Making, Refused
from assistant.guide.words import hint, open_words
from assistant.language.manner import Manner
from assistant.language.model import GiveResult
from assistant.procedure.condition import ITEMS, OF_THE_CAR, Condition
from assistant.procedure.remedies import NEVER_LEFT


def settle_item(making: Making, given: GiveResult) -> None:
    """What became of the first item still off the car: back on, or left off and noted."""
    if not making.state.open_items:
        raise Refused(refusals.NOTHING_OFF)
    item = making.state.open_items[0]
    back = given.result == "refitted"
    if not back and ITEMS.get(item) in NEVER_LEFT:
        raise Refused(refusals.not_left_open(item))
    settled = ItemRefitted if back else ItemLeftOff
    making.note(settled(item=item, said=given.words, hearing=making.hearing))
    making.say(sayings.settled(item, back=back), "readback")
    if making.state.open_items or not making.state.leaving:
        making.add(*hint(making.library, making.state))
    else:
        end(making)


def confirm_end(making: Making) -> None:
    """Yes to ending the job: open items first, else it is closed at once."""
    leave_undone(making)
    making.note(EndConfirmed(finding=making.state.finding))
    if making.state.open_items:
        making.say(open_words(making.state))
        making.add(*hint(making.library, making.state))
    else:
        end(making)


def end(making: Making) -> None:
    """Close the job. Raises Refused while something is off the car."""
    if making.state.mode is not Mode.CLOSING or making.state.open_items:
        raise Refused(open_words(making.state) or refusals.NOTHING_TO_DO)
    making.note(JobEnded(finding=making.state.finding))
    left = [SAID[each] for each in Condition if each in making.state.bay.conditions & OF_THE_CAR]
    making.say(sayings.stays_with_car(left), "caution")
    making.say(sayings.CLOSED_IN_FULL if making.state.manner is Manner.FULL else sayings.CLOSED)


def confirm_repair(kept: Sequence[Fact], fault: str | None) -> Fact:
    """The fact that the desk confirms: repairing `fault` cured the car; None takes back what was confirmed.

    Raises MoveRefused while the job is under way.
    """
    first, last = kept[0], kept[-1]
    if not any(fact.kind is FactKind.JOB_ENDED for fact in kept):
        raise MoveRefused(f"a repair cannot be confirmed from the desk while job '{first.job}' is under way")
    return fact_of(
        RepairConfirmed(fault=fault, by="desk"),
        id=f"{first.says(JobStarted).key}-{last.number + 1}",
        job=first.job,
        number=last.number + 1,
        at_s=last.at_s,
        procedure=first.procedure,
    )

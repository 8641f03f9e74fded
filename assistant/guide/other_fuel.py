"""The fuel corrected late in a job: what was worked on is left, and the job goes where its intake would have gone."""

from __future__ import annotations

from assistant.english import refusals, sayings
from assistant.facts import VehicleNoted
from assistant.guide.leading import change
from assistant.guide.places import Library
from assistant.guide.state import Frame
from assistant.guide.turn import Led, Making, Refused
from assistant.procedure.model import Kind

FUEL = "fuel"
PETROL, DIESEL = "petrol", "diesel"


def burns_diesel(making: Making) -> Frame | None:
    """Keep that the car burns diesel. The step to go on with, which asks for whatever is off the car; None where the
    work goes on as it is. Raises Refused in the words that say why not."""
    state = making.state
    if state.vehicle.get(FUEL) == DIESEL:
        raise Refused(refusals.DIESEL_KNOWN)
    making.note(VehicleNoted(fact=FUEL, value=DIESEL, by="technician", hearing=making.hearing))
    making.say(sayings.FUEL_IS_DIESEL, "readback")
    to = way_of(making.library, state.root, FUEL, DIESEL)
    if to is None:
        return None
    led = Led(step=to, why=sayings.OTHER_FUEL)
    return change(making, led, by="technician").at


def way_of(library: Library, root: str, fact: str, value: str) -> str | None:
    """The step of the root procedure to which its intake leads a car of which this is so; None where it asks nothing of
    the kind, or goes on asking."""
    for step in library[root].steps:
        called = library[step.calls] if step.kind is Kind.CALL and step.calls is not None else None
        for asked in called.steps if called is not None else ():
            told = next((result for result in asked.results if asked.vehicle == fact and result.id == value), None)
            end = called.step(told.goes) if called is not None and told is not None else None
            if end is not None and end.kind is Kind.RETURN:
                return next(result.goes for result in step.results if result.id == end.outcome)
    return None

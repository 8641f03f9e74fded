"""The fuel or the drive corrected late: the work is left, and the job goes where its intake would have gone."""

from __future__ import annotations

from assistant.english import refusals, sayings
from assistant.facts import VehicleNoted
from assistant.guide.leading import change
from assistant.guide.places import Library
from assistant.guide.state import Frame
from assistant.guide.turn import Led, Making, Refused
from assistant.procedure.model import Kind

FUEL, HYBRID = "fuel", "hybrid"
PETROL, DIESEL, DUAL = "petrol", "diesel", "dual"


def burns_diesel(making: Making) -> Frame | None:
    """Keep that the car burns diesel. The step to go on with, which asks for whatever is off the car; None where the
    work goes on as it is. Raises Refused in the words that say why not."""
    if making.state.vehicle.get(FUEL) == DIESEL:
        raise Refused(refusals.DIESEL_KNOWN)
    return _another(making, FUEL, DIESEL, sayings.FUEL_IS_DIESEL, sayings.OTHER_FUEL)


def has_high_voltage(making: Making) -> Frame | None:
    """Keep that the car is a hybrid; else as for diesel."""
    if making.state.vehicle.get(HYBRID) == "yes":
        raise Refused(refusals.HYBRID_KNOWN)
    return _another(making, HYBRID, "yes", sayings.IS_HYBRID, sayings.OTHER_DRIVE)


def _another(making: Making, fact: str, value: str, said: str, why: str) -> Frame | None:
    making.note(VehicleNoted(fact=fact, value=value, by="technician", hearing=making.hearing))
    making.say(said, "readback")
    to = way_of(making.library, making.state.root, fact, value)
    return None if to is None else change(making, Led(step=to, why=why), by="technician").at


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

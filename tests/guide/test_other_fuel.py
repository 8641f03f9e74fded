"""The fuel corrected late: where the intake would have led, with what is off the car asked for first."""

from __future__ import annotations

from assistant.guide.other_fuel import way_of
from assistant.wiring import load_library


def test_the_way_is_that_of_the_intake() -> None:
    """It is read off the procedures; one that asks no fuel has none, and no fuel that goes on has one."""
    library = load_library("no-start")[1]
    assert way_of(library, "no-start", "fuel", "diesel") == "diesel"
    assert way_of(library, "no-start", "fuel", "petrol") is None
    assert way_of(library, "no-start", "hybrid", "yes") == "high-voltage"
    assert way_of(library, "spark-check", "fuel", "diesel") is None

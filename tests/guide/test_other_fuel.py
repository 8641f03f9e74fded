"""The fuel corrected late: where the intake would have led, with what is off the car asked for first."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.guide.other_fuel import way_of
from assistant.wiring import load_library
from tests.guide.job import TO_CRANK, Job
from tests.guide.led import Led


def test_the_way_is_that_of_the_intake() -> None:
    """It is read off the procedures; one that asks no fuel has none, and no fuel that goes on has one."""
    library = load_library("no-start")[1]
    assert way_of(library, "no-start", "fuel", "diesel") == "diesel"
    assert way_of(library, "no-start", "fuel", "petrol") is None
    assert way_of(library, "no-start", "hybrid", "yes") == "high-voltage"
    assert way_of(library, "spark-check", "fuel", "diesel") is None


def test_a_hybrid_told_in_the_count_ends_it_and_the_work() -> None:
    """It was answered by "finish this first" while the starter turned."""
    job = Led(load_library("no-start")[1], "no-start", {"rest-volts": "twelve point six volts"})
    while job.state.mode is not Mode.POISED:
        job.step_on()
    job.say("ready")
    assert job.state.mode is Mode.TIMING
    job.say("there are orange cables")
    assert job.words.startswith("Release the key. A hybrid. Hands off anything orange.")
    assert (job.at, job.state.mode) == ("high-voltage", Mode.CLOSING)


@pytest.mark.parametrize("words", ["it's a hybrid", "there are orange cables"])
def test_a_hybrid_told_where_no_intake_asked_stops_and_holds(words: str) -> None:
    """A procedure by itself has no way to leave by; on hold it is heard as well, and once is enough."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", words)
    assert job.state.mode is Mode.HELD and job.said.startswith("Release the key. A hybrid. Hands off anything orange.")
    assert job.state.vehicle["hybrid"] == "yes" and FactKind.BURST_ENDED not in job.kinds
    assert job.say(words).said.startswith("It is noted already that it is a hybrid.")

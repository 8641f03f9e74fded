"""A test is come to when its answer can mean something: after what it supposes, and where it parts what is likely.

The cars are our own invention; the order of tests is common practice, no source.
"""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Library
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.session.dialogue_player import Leader
from tests.session.led_jobs import USUAL, lead, lead_to_the_end
from tests.session.room import Room
from tests.session.test_leading_by_what_was_told import asked

SLOW = {
    "no-start/complaint": "it cranks slowly",
    "no-start/how-stopped": "slower each day",
    "battery-state/rest-volts": "eleven point eight volts",
}
SUPPOSE_A_CRANK = ("no-start/fuel-signs", "one-plug/plug-out")


@pytest.fixture
def fresh(library: Library, reasoner: Reasoner) -> Room:
    """A led job at its first step."""
    return Room(library, adviser=Adviser(reasoner, library), leads=True)


def cranked_before(room: Room, step: str) -> bool:
    """Whether an engine was cranked before a step was answered."""
    for fact in room.facts:
        if f"{fact.procedure}/{fact.step}" == step and fact.kind is FactKind.RESULT_LOGGED:
            return False
        if fact.kind is FactKind.BURST_BEGUN:
            return True
    return True


@pytest.mark.parametrize("wish", ["take me to the tailpipe", "take me to the look at a plug"])
def test_what_supposes_a_crank_is_refused_by_name_before_one(led: Room, wish: str) -> None:
    """Nothing reeks and no plug is wet of an engine that nobody has turned here; it is said, and nothing changes."""
    before = led.conversation.state
    (turn,) = led.type(wish)
    name = wish.removeprefix("take me to the ")
    assert turn["said"][0] == f"The {name} tells nothing before the engine was cranked."
    assert led.conversation.state == before


def crank(room: Room, library: Library) -> None:
    """Lead on until the starter has turned and nothing is off the car."""
    lead(room, library, "cranking-check/crank-volts")
    on = Leader(room, library, USUAL)
    while room.conversation.state.at.procedure == "cranking-check":
        on.next_line()


def offered(adviser: Adviser, room: Room) -> set[str]:
    """The tests that the plan weighs."""
    return {option.test for option in adviser.plan(room.conversation.state).options}


def test_what_supposes_a_crank_may_be_named_after_one(led: Room, library: Library) -> None:
    """Once the starter turned, the tailpipe is gone to."""
    crank(led, library)
    turns = led.type("take me to the tailpipe")
    assert turns[0]["said"][0] == "To the tailpipe."
    assert led.conversation.state.at.step == "fuel-signs"


@pytest.mark.parametrize(
    "own",
    [
        {"no-start/complaint": "petrol drips on the ground and it will not start"},
        {"no-start/changed": "just washed", "vehicle-facts/ignition": "rotor and cap"},
    ],
)
def test_the_plan_leads_to_no_test_that_supposes_a_crank_before_one(
    fresh: Room, library: Library, own: dict[str, str]
) -> None:
    """Whatever was told of the car, leak and wash among it."""
    lead_to_the_end(fresh, library, own)
    assert all(cranked_before(fresh, step) for step in SUPPOSE_A_CRANK)


def test_with_a_leak_about_nobody_sniffs_at_the_tailpipe(led: Room, library: Library, reasoner: Reasoner) -> None:
    """It smells of fuel all round the car."""
    crank(led, library)
    adviser = Adviser(reasoner, library, led.facts)
    assert "tailpipe-smell" in offered(adviser, led)
    led.type("there is a fuel leak")
    assert "tailpipe-smell" not in offered(Adviser(reasoner, library, led.facts), led)


def test_a_slow_engine_on_a_low_battery_is_not_asked_for_its_pump(fresh: Room, library: Library) -> None:
    """The pump hums alike whichever of battery, cable and starter it is: help for the battery tells that."""
    Leader(fresh, library, USUAL | SLOW | {"boost-battery/means": "jump pack"}).until("no-start/boost-crank")
    assert "no-start/prime" not in asked(fresh)

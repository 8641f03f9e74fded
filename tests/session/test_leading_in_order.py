"""A test is come to when its answer can mean something: after what it supposes, and where it parts what is likely.

The cars are our own invention; the order of tests is common practice, no source.
"""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Library, fold
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


DRAGS_WITH_HELP = SLOW | {
    "boost-battery/means": "jump pack",
    "no-start/boost-crank": "slow and heavy",
    "voltage-drop-positive/side-crank": "slow and heavy",
    "voltage-drop-ground/side-crank": "slow and heavy",
}


def test_a_boosted_crank_without_a_meter_is_asked_for_no_voltage(fresh: Room, library: Library) -> None:
    """What a good pack does not bring up hangs on the cables: they come next, and no crank before them for nothing."""
    on = Leader(fresh, library, USUAL | DRAGS_WITH_HELP)
    on.until("voltage-drop-positive/fit")
    steps = asked(fresh)
    assert not {"slow-crank/held", "cranking-check/turn"} & set(steps)
    known = [fact for fact in fresh.facts if fact.kind is FactKind.RESULT_LOGGED and fact.step == "held"]
    assert [fact.data["result"] for fact in known] == ["helped"]
    assert fold(library, fresh.facts) == fresh.conversation.state


def test_the_fuse_stays_out_between_two_voltage_drops(fresh: Room, library: Library) -> None:
    """The ground side needs it out as well, and puts it back."""
    on = Leader(fresh, library, USUAL | DRAGS_WITH_HELP)
    on.until("voltage-drop-ground/fit")
    assert fresh.conversation.state.open_items == ("fuel pump fuse",)
    while fresh.conversation.state.at.procedure == "voltage-drop-ground":
        on.next_line()
    assert fresh.conversation.state.open_items == ()


def test_who_said_how_it_stopped_is_only_asked_for_a_yes(fresh: Room, library: Library, reasoner: Reasoner) -> None:
    """The complaint told that it cut out under way: that is offered in place of the open question."""
    own = {"no-start/complaint": "it cut out while driving", "no-start/how-stopped": "yes"}
    Leader(fresh, library, USUAL | own).until("vehicle-facts/fuel")
    assert any("You said: cut out at once." in text for line in fresh.trace for text in line["said"])
    assert Adviser(reasoner, library, fresh.facts).evidence["how-it-stopped"] == "sudden"


def test_an_engine_that_spins_too_easily_has_its_cam_looked_at(led: Room, library: Library) -> None:
    """Behind a look for leaks, and before all that takes longer."""
    Leader(led, library, USUAL | {"cranking-check/turn": "spins too easily"}).until("no-start/cam-look")
    steps = asked(led)
    assert steps[steps.index("cranking-check/turn") + 1 :] == ["no-start/visual"]


def test_an_engine_that_runs_now_is_not_tested_for_what_is_not_there(led: Room, library: Library) -> None:
    """Wires are wiggled and parts warmed while it runs: spark, fuel and plugs would show nothing."""
    runs = {"cranking-check/turn": "it started", "no-start/keeps": "keeps running", "no-start/complaint": "stalls hot"}
    Leader(led, library, USUAL | runs).until("comes-and-goes/wiggle-start")
    Leader(led, library, USUAL | runs).until("comes-and-goes/warm")
    steps = asked(led)
    assert {step.split("/")[0] for step in steps[steps.index("no-start/keeps") + 1 :]} == {"comes-and-goes"}


def test_after_a_knock_the_crash_switch_comes_first_where_the_pump_is_silent(fresh: Room, library: Library) -> None:
    """It is what a knock trips."""
    crash = {"no-start/changed": "a crash", "no-start/prime": "pump is silent"}
    Leader(fresh, library, USUAL | crash).until("pump-feed/crash-switch")
    assert asked(fresh)[-1] == "no-start/prime"


def test_a_known_leak_is_the_end_where_it_bars_what_is_left(fresh: Room, library: Library) -> None:
    """No repair of something else is proposed while it is not mended."""
    lead_to_the_end(fresh, library, {"no-start/complaint": "petrol drips on the ground and it will not start"})
    (found,) = (fact for fact in fresh.facts if fact.kind is FactKind.FINDING_REACHED)
    assert (found.step, found.data["fault"]) == ("fuel-leak", "fuel-leak")
    assert "No test is left that may be done while fuel leaks." in [
        text for line in fresh.trace for text in line["said"]
    ]


def test_what_next_names_what_is_led_to(fresh: Room, library: Library) -> None:
    """It named the test that pays most, and the lead went to one that was told to be the matter."""
    on = Leader(fresh, library, USUAL | {"cranking-check/turn": "spins too easily"})
    on.until("cranking-check/off-light")
    (told,) = fresh.type("what next")
    assert told["said"][0].startswith("Next the leak check")
    on.until("no-start/visual")

"""What was told is not asked again and has its say in what comes next; the next test is what parts the faults.

The cars are our own invention; the order of tests is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from assistant.english import refusals
from assistant.facts import FactKind, ResultLogged
from assistant.guide import Library, fold
from assistant.reasoning.evidence import evidence_from_facts
from assistant.reasoning.posterior import believe, fault_odds
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.session.dialogue_player import Leader
from tests.session.led_jobs import USUAL, lead, lead_to_the_end
from tests.session.room import Room

CLICKS = {
    "no-start/complaint": "it does not turn over, it only clicks",
    "cranking-check/turn": "only a click",
    "no-crank/control": "zero point two volts",
    "voltage-drop-positive/side-crank": "only a click",
    "voltage-drop-ground/side-crank": "only a click",
}
DRAGS = {
    "no-start/how-stopped": "dead next morning",
    "cranking-check/turn": "slow and heavy",
    "voltage-drop-positive/side-crank": "slow and heavy",
    "voltage-drop-ground/side-crank": "slow and heavy",
    "voltage-drop-ground/side": "zero point nine volts",
}
FLASHES = {"no-start/security": "keeps flashing", "no-start/other-key": "keeps flashing"}
SPARE_KEY_CURES_THE_LAMP = {
    "no-start/security": "keeps flashing",
    "no-start/other-key": "lamp goes out",
    "no-start/key-crank": "never fired",
    "spark-check-coil-on-plug/first-crank": "no spark",
    "spark-check-coil-on-plug/second-crank": "no spark",
    "no-spark/lamp": "lamp goes out",
}
UNCHARGED = {"battery-state/rest-volts": "eleven point five volts", "no-start/charge-lamp": "charge lamp burned"}


@pytest.fixture
def adviser(library: Library, reasoner: Reasoner) -> Adviser:
    """What thinks along."""
    return Adviser(reasoner, library)


@pytest.fixture
def led(library: Library, adviser: Adviser) -> Room:
    """A job that the plan leads."""
    return Room(library, adviser=adviser, leads=True)


def asked(room: Room) -> Sequence[str]:
    """The steps that were answered, each "procedure/step", in order; none that answered itself."""
    told = (FactKind.RESULT_LOGGED, FactKind.READING_LOGGED, FactKind.CODE_LOGGED)
    return [
        f"{fact.procedure}/{fact.step}"
        for fact in room.facts
        if fact.kind in told and not (isinstance(fact.said, ResultLogged) and fact.said.unsaid)
    ]


def test_an_engine_that_does_not_turn_is_asked_for_no_pump_first(led: Room, library: Library) -> None:
    """Battery, crank, then what parts battery, switch and starter; the security lamp is asked once."""
    lead_to_the_end(led, library, CLICKS)
    steps = asked(led)
    dash = steps.index("no-crank/dash")
    assert "no-start/prime" not in steps[:dash]
    assert steps.index("battery-state/rest-volts") < steps.index("cranking-check/turn") < dash
    assert steps[dash : dash + 2] == ["no-crank/dash", "no-crank/neutral"]
    assert [step for step in steps if step.endswith(("/lamp", "/security"))] == ["no-start/security"]
    assert fold(library, led.facts) == led.conversation.state


def test_what_is_known_is_said_where_it_is_passed_over(led: Room, library: Library) -> None:
    """The answer that was told before stands in the record as known, and moves no odds a second time."""
    lead_to_the_end(led, library, CLICKS)
    known = [fact for fact in led.facts if isinstance(fact.said, ResultLogged) and fact.said.known == "security-lamp"]
    assert [f"{fact.procedure}/{fact.step}" for fact in known] == ["no-crank/lamp"]
    assert any("Known: the security lamp goes out." in line["said"] for line in led.trace)


def test_a_slow_engine_whose_battery_holds_has_its_cables_measured_next(led: Room, library: Library) -> None:
    """The voltage drop comes before the codes, and the ground side too before the cables are called good."""
    lead_to_the_end(led, library, DRAGS)
    steps = asked(led)
    assert "no-start/reader" not in steps
    measured = steps.index("cranking-check/crank-volts-slow")
    assert steps[measured + 1 : measured + 3] == ["voltage-drop-positive/side-crank", "voltage-drop-positive/side"]
    assert "voltage-drop-ground/side" in steps


def test_a_flat_battery_is_not_blamed_before_its_charging_was_asked_for(led: Room, library: Library) -> None:
    """Whoever saw the charge lamp burn gets what does not charge named, not the battery alone."""
    lead_to_the_end(led, library, UNCHARGED)
    assert "no-start/charge-lamp" in asked(led)
    found = [fact for fact in led.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert max(found.data["odds"], key=found.data["odds"].get) == "not-charging"


def test_the_complaint_moves_odds_and_is_taken_back_with_its_words(
    led: Room, adviser: Adviser, library: Library
) -> None:
    """Struck words tell nothing any more."""
    lead(led, library, "no-start/complaint")
    led.type("it does not turn over")
    assert adviser.evidence == {"complaint": "still"}
    led.type("strike that", "yes")
    assert adviser.evidence == {}


def test_a_leak_in_the_complaint_is_looked_for_first(led: Room, library: Library) -> None:
    """Nobody is led to battery and pump while petrol drips: the look around comes before all else."""
    own = {"no-start/complaint": "petrol was dripping under the car and now it will not start"}
    Leader(led, library, USUAL | own).until("no-start/visual")
    seen = [f"{fact.procedure}/{fact.step}" for fact in led.facts if fact.kind is FactKind.RESULT_LOGGED]
    assert not {"battery-state/case", "no-start/prime", "no-start/security"} & set(seen)


def test_a_lamp_that_a_spare_key_put_out_is_not_taken_for_flashing(led: Room, library: Library) -> None:
    """With the spare key the lamp is out and the engine stays dead: it is asked anew, and something else is found."""
    lead_to_the_end(led, library, SPARE_KEY_CURES_THE_LAMP)
    assert "no-spark/lamp" in asked(led)
    passed_over = [fact.said.known for fact in led.facts if isinstance(fact.said, ResultLogged)]
    assert "security-lamp" not in passed_over
    found = [fact for fact in led.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert found.data["fault"] not in ("security", "open")
    assert found.data["odds"].get("security", 0.0) < 0.05


def test_a_key_that_puts_the_lamp_out_and_starts_nothing_clears_the_immobiliser(reasoner: Reasoner) -> None:
    """Whether or not the lamp is seen once more; the odds before the spare key was cranked with blame it."""
    told = [("no-start", "security", "flashing"), ("no-start", "other-key", "out")]
    flashes, out = evidence_from_facts(reasoner.model, told[:1]), evidence_from_facts(reasoner.model, told)
    cranked = ("dead", "runs")
    dead, runs = (evidence_from_facts(reasoner.model, [*told, ("no-start", "key-crank", it)]) for it in cranked)
    assert (flashes, out, dead) == ({"security-lamp": "on"}, {"spare-key": "out"}, {"other-key": "no-change"})
    odds = [
        fault_odds(reasoner.network, believe(reasoner.network, evidence))["security"]
        for evidence in (flashes, out, dead, runs)
    ]
    assert odds[0] < odds[1] < odds[3]
    assert odds[1] > 0.75
    assert odds[2] < 0.01
    assert odds[3] > 0.99
    again = [*told, ("no-spark", "lamp", "flashing")]
    assert evidence_from_facts(reasoner.model, again) == {"spare-key": "out", "security-lamp": "on"}  # seen since


@pytest.mark.parametrize("before", ["key trouble", "nothing changed"])
def test_a_flashing_lamp_has_the_spare_key_tried_before_a_repair_is_proposed(
    led: Room, library: Library, before: str
) -> None:
    """However likely the immobiliser: a minute tells whether the key or the car is to be mended."""
    lead_to_the_end(led, library, {"no-start/changed": before, **FLASHES})
    steps = asked(led)
    assert steps[steps.index("no-start/security") + 1] == "no-start/other-key"


def test_a_spare_key_that_puts_the_lamp_out_is_cranked_with_before_a_repair(led: Room, library: Library) -> None:
    """However sure the immobiliser is by then: a start with it proves that the first key is to be mended."""
    starts = {"no-start/other-key": "lamp goes out", "no-start/key-crank": "it started"}
    lead_to_the_end(led, library, {"no-start/changed": "key trouble", **FLASHES, **starts})
    assert asked(led)[-3:] == ["no-start/security", "no-start/other-key", "no-start/key-crank"]
    found = [fact for fact in led.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert (found.step, found.data["fault"]) == ("security-key", "security")


def test_who_has_no_spare_key_gets_the_repair_proposed_all_the_same(led: Room, library: Library) -> None:
    """The key is asked for once, and nothing waits for it."""
    lead_to_the_end(led, library, {"no-start/changed": "key trouble", **FLASHES, "no-start/other-key": "just one key"})
    assert asked(led).count("no-start/other-key") == 1
    found = [fact for fact in led.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert found.data["fault"] == "security"


WASHED = {
    "no-start/changed": "just washed",
    "vehicle-facts/ignition": "rotor and cap",
    "spark-check/look": "rotor and cap",
}


def test_a_cap_that_got_wet_in_a_wash_is_dried_before_the_battery_is_asked_for(
    led: Room, library: Library, reasoner: Reasoner
) -> None:
    """Behind gauge and lamp, which take half a minute each; without a distributor it is the wet plugs and sockets."""
    lead_to_the_end(led, library, WASHED)
    steps = asked(led)
    assert steps.index("no-start/security") < steps.index("no-start/damp-crank")
    assert "battery-state/case" not in steps[: steps.index("no-start/damp-crank")]
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead_to_the_end(room, library, {"no-start/changed": "just washed"})
    assert "no-start/damp-crank" not in asked(room)
    assert asked(room).index("no-start/damp-plugs-crank") < asked(room).index("battery-state/case")


def test_a_cap_that_is_off_stands_on_the_list_until_it_is_on(led: Room, library: Library) -> None:
    """Nobody is led elsewhere meanwhile: its own step comes first, and then the test that was wished for."""
    on = Leader(led, library, USUAL | WASHED)
    on.until("no-start/damp-cap-on")
    assert led.conversation.state.open_items == ("distributor cap",)
    (told,) = led.type("another test")
    assert told["said"][0] == refusals.put_right_first("distributor cap")
    assert (led.conversation.state.at.step, led.conversation.state.open_items) == ("damp-cap-on", ("distributor cap",))
    for _ in range(6):
        if led.conversation.state.at.step != "damp-cap-on":
            break
        on.next_line()
    assert led.conversation.state.at.step not in ("damp-cap-on", "damp-crank")
    assert led.conversation.state.open_items == ()

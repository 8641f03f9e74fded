"""The engine runs, told out of turn: what is safe first, then what was done before, then what is left to find or check.

The cars are our own invention; the order of tests is common practice, no source.
"""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Library, Mode, fold
from assistant.procedure.condition import C
from assistant.reasoning.posterior import fault_odds
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.session.dialogue_player import Leader
from tests.session.led_jobs import SAFE, USUAL, lead
from tests.session.room import Room

TOLD = "it fired up and stays running"
CLEAR = "It runs: hands, sleeves and leads clear of belts and fan."


def at(room: Room) -> str:
    """Where the job stands."""
    return f"{room.conversation.state.at.procedure}/{room.conversation.state.at.step}"


def fresh(library: Library, reasoner: Reasoner, procedure: str = "no-start", *, leads: bool = True) -> Room:
    """A job at its first step."""
    return Room(library, procedure, adviser=Adviser(reasoner, library), leads=leads)


def until_asked(room: Room, library: Library) -> None:
    """Pass all that stands before the question what was done."""
    Leader(room, library, USUAL).until("no-start/runs")


def test_what_is_safe_comes_first_and_then_what_was_done(led: Room, library: Library, reasoner: Reasoner) -> None:
    """Nothing done: the procedure of what comes and goes, without starting an engine that runs, and no hard fault is
    likely any more that cannot come and go."""
    (turn,) = led.type(TOLD)
    assert turn["said"][:2] == ["Noted: the engine runs now.", CLEAR] and turn["mode"] == "cautioning"
    assert at(led) == "no-start/runs" and C.ENGINE_RUNS in led.conversation.state.bay.conditions
    until_asked(led, library)
    assert "You told me: the engine runs now." not in [text for line in led.trace for text in line["said"]]
    before = {fault.id: fault.comes_and_goes for fault in reasoner.model.faults}
    led.type("nothing was done", "yes")
    assert at(led) == "comes-and-goes/when"
    led.type("when hot")
    assert at(led) == "comes-and-goes/wiggle"
    adviser = Adviser(reasoner, library, led.facts)
    odds = fault_odds(reasoner.network, adviser._belief)
    assert adviser.evidence["starts-and-dies"] == "runs"
    hard = {fault: p for fault, p in odds.items() if before.get(fault) == 0.0}
    assert sum(hard.values()) < 0.15, hard
    assert max(odds, key=lambda fault: odds[fault]) == "crank-sensor"
    assert fold(library, led.facts) == led.conversation.state


def test_what_was_mended_is_checked_at_once(led: Room, library: Library) -> None:
    """The engine is switched off for it, and started anew."""
    led.type(TOLD)
    until_asked(led, library)
    *_, turn = led.type("i plugged in the connector", "yes")
    assert "Now we check it." in turn["said"] and at(led) == "recheck-start/look"
    led.type("key is out")
    assert C.ENGINE_RUNS not in led.conversation.state.bay.conditions
    Leader(led, library, USUAL).until(None)
    assert [fact.data["fault"] for fact in led.facts if fact.kind is FactKind.FINDING_REACHED] == ["start-holds"]


def test_from_a_finding_on_it_is_its_repair_that_is_checked(fresh_led: Room, library: Library) -> None:
    """What was found was perhaps mended: then it is confirmed by the recheck."""
    Leader(fresh_led, library, USUAL | {"no-start/fuel-level": "gauge on empty"}).until("no-start/fuel-crank")
    on = Leader(fresh_led, library, USUAL | {"no-start/fuel-crank": "it started"})
    while fresh_led.conversation.state.mode is not Mode.CLOSING:
        on.next_line()
    found = fresh_led.conversation.state.found
    fresh_led.type(TOLD)
    until_asked(fresh_led, library)
    fresh_led.type("something was mended", "yes")
    assert at(fresh_led) == "recheck-start/look" and fresh_led.conversation.state.repaired == found


def test_it_died_again_after_all(led: Room, library: Library) -> None:
    """Then it is a car that starts and dies, behind the question for its fuel; nobody asks to switch it off."""
    led.type(TOLD)
    until_asked(led, library)
    led.type("died again", "yes", "fuel in tank", "yes")
    assert at(led).startswith("starts-then-dies/")
    assert C.ENGINE_RUNS not in led.conversation.state.bay.conditions


@pytest.fixture
def fresh_led(library: Library, reasoner: Reasoner) -> Room:
    """A led job at its first step."""
    return fresh(library, reasoner)


def test_told_before_the_place_is_safe_it_is_asked_once_it_is(fresh_led: Room, library: Library) -> None:
    """Intake and safety go on; a doubt about a car that may roll is settled before anybody stands at a running one."""
    lead(fresh_led, library, "vehicle-facts/fuel")
    (turn,) = fresh_led.type("the engine is running now")
    assert turn["said"][1] == CLEAR and at(fresh_led) == "vehicle-facts/fuel"
    until_asked(fresh_led, library)
    assert C.CAN_ROLL not in fresh_led.conversation.state.bay.conditions


def test_a_leak_comes_before_an_engine_that_runs(led: Room) -> None:
    """It is switched off, whatever it tells."""
    led.type("there is a fuel leak")
    (turn,) = led.type(TOLD)
    assert turn["said"][-3:-1] == [
        "Fuel leaks or smells, so the engine must not turn.",
        "Switch off, and take the key out. Is the key out?",
    ]


def test_who_cranked_without_our_tone_is_asked_whether_he_did(led: Room, library: Library) -> None:
    """At the key before "ready": the answer is that of the crank; a no leaves an engine that runs, and no starter."""
    lead(led, library, "cranking-check/turn")
    *_, turn = led.type("it started")
    assert turn["said"][-1].startswith("That came before the tone.") and turn["mode"] == "confirming"
    (turn,) = led.type("no")
    assert "The engine runs, so the starter must not turn." in turn["said"]
    assert led.conversation.state.mode is Mode.GATING


def test_by_the_book_and_by_itself(library: Library, reasoner: Reasoner) -> None:
    """The fixed order goes the same way; a procedure that leads nowhere else notes it and goes on."""
    book = fresh(library, reasoner, leads=False)
    lead(book, library, SAFE)
    book.type(TOLD)
    assert at(book) == "no-start/runs"
    alone = fresh(library, reasoner, "spark-check", leads=False)
    here = at(alone)
    (turn,) = alone.type(TOLD)
    assert turn["said"][1] == CLEAR and at(alone) == here


def test_the_plan_may_lead_to_what_comes_and_goes_only_while_it_runs(led: Room, library: Library) -> None:
    """By name as well: else nothing would stumble there."""
    (turn,) = led.type("take me to the fault that comes and goes")
    assert turn["said"][0].startswith("That only follows") and at(led) == SAFE, turn["said"]
    led.type(TOLD)
    until_asked(led, library)
    led.type("take me to the fault that comes and goes")
    assert at(led) == "comes-and-goes/when"

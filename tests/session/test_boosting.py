"""No clamp goes on a battery whose case nobody has looked at. Source: do not jump, charge or load test a frozen,
cracked or sulphur-smelling battery; common practice, no source."""

from __future__ import annotations

from assistant.guide import Library
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.guide.led import Led
from tests.session.dialogue_player import Leader as Player
from tests.session.led_jobs import USUAL
from tests.session.room import Room

FLAT = {"battery-state/rest-volts": "ten point eight volts", "boost-battery/means": "jump pack"}


def asked(facts: object, procedure: str, step: str) -> bool:
    return any(
        fact.kind.value == "instruction-spoken" and (fact.procedure, fact.step) == (procedure, step)
        for fact in facts  # type: ignore[attr-defined]
    )


def test_started_alone_it_asks_for_the_case_before_a_clamp(library: Library) -> None:
    """Nobody else has asked for it in this job."""
    led = Led(library, "boost-battery", {"means": "jump pack"}).until("connect")
    assert asked(led.facts, "boost-battery", "case")
    assert asked(led.facts, "boost-battery", "means")


def test_a_frozen_battery_is_neither_jumped_nor_charged(library: Library) -> None:
    """It ends before anybody is asked what is at hand."""
    for means in ("jump pack", "battery charger"):
        led = Led(library, "boost-battery", {"means": means})
        led.say("it is frozen")
        led.say("yes")
        assert not asked(led.facts, "boost-battery", "means")
        assert "Do not charge, jump or load this battery." in led.words


def test_a_slow_engine_is_not_boosted_before_the_case_was_looked_at(library: Library) -> None:
    """There the battery test is not on the way."""
    led = Led(library, "slow-crank", {"held": "it sagged", "tester": "no load tester", "means": "jump pack"})
    led.until("connect")
    assert asked(led.facts, "boost-battery", "case")


def test_what_was_looked_at_in_this_job_is_not_asked_again(library: Library, reasoner: Reasoner) -> None:
    """The battery test has asked for the same case."""
    room = Room(library, adviser=Adviser(reasoner, library))
    Player(room, library, USUAL | FLAT).until("boost-battery/connect")
    assert asked(room.facts, "battery-state", "case")
    assert not asked(room.facts, "boost-battery", "case")

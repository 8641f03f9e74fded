"""How a led job ends: a repair proposed with its odds, checked, cured or not, or the fault still open."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from itertools import accumulate

import pytest

from assistant.facts import FactKind
from assistant.guide import Library, Mode, fold
from assistant.guide.state import NEW, Frame, Position
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.planner import Act
from assistant.reasoning.reasoner import Reasoner
from assistant.record.build import build_record
from assistant.session import leading
from assistant.session.adviser import Adviser
from assistant.session.thoughts import Thoughts
from tests.session.dialogue_player import Leader
from tests.session.led_jobs import USUAL, changes, kinds, lead, lead_to_the_end
from tests.session.room import Room


def to_proposal(room: Room, library: Library) -> None:
    """A car whose crank sensor is dead, until the plan proposes its repair."""
    usual = USUAL
    told = usual | {"no-start/speed": "stays at zero", "no-start/codes": "no more codes"}
    lead_on = Leader(room, library, told)
    while not room.conversation.state.finding:
        at = room.conversation.state.at
        if (at.procedure, at.step, room.conversation.state.mode) == ("no-start", "codes", Mode.ASKING):
            room.type("p zero three three five")
        lead_on.next_line()


def test_where_testing_pays_no_more_the_repair_is_proposed_with_its_odds(led: Room, library: Library) -> None:
    """Not the procedure's next step: a finding that names fault, odds and what speaks for it."""
    to_proposal(led, library)
    state = led.conversation.state
    assert (state.at.step, state.found, state.proposed) == ("repair-now", "crank-sensor", "crank-sensor")
    (found,) = (fact for fact in led.facts if fact.kind is FactKind.FINDING_REACHED)
    assert found.data["fault"] == "crank-sensor"
    assert found.data["say"] == "Proposed: the repair of a faulty crank sensor."
    said = led.trace[-1]["said"]
    assert found.data["by_odds"] in said
    assert found.data["by_odds"].startswith("I would stop testing: it is a faulty crank sensor, almost certain, since ")
    assert "The repair takes about 45 minutes." in found.data["by_odds"]
    assert "the reader shows zero" in found.data["by_odds"]
    assert said[-1] == "Say repair done when it is mended, or done to close the job."
    assert fold(library, led.facts) == state
    led.type("repair confirmed", "read the record")
    aloud = " ".join(led.trace[-1]["said"])
    assert "Diagnosis was: a faulty crank sensor" in aloud  # by its name, not by its id


def test_at_a_proposal_one_may_ask_what_speaks_against_it_and_test_more(led: Room, library: Library) -> None:
    """The next likeliest fault is named; the test that tells most is led to, though it does not pay; words and a state
    that folds."""
    to_proposal(led, library)
    (against,) = led.type("what speaks against it")
    assert "a faulty crank sensor" in against["said"][0]
    assert " Next comes " in against["said"][0]
    assert led.type("why not something else")[0]["said"] == against["said"]
    led.type("i want to test more")
    (*_, chosen) = changes(led)
    assert chosen["test"] and chosen["to"] not in ("repair-now", "no-test-left")
    assert led.conversation.state.mode is not Mode.CLOSING
    assert fold(library, led.facts) == led.conversation.state


def test_a_repair_that_did_not_cure_goes_back_to_the_plan_as_evidence(
    led: Room, library: Library, reasoner: Reasoner
) -> None:
    """The fault repaired is out, and another test or repair follows; a resumed job thinks the same."""
    to_proposal(led, library)
    led.type("@wait 2700", "repair done")
    usual = USUAL | {"recheck-start/first-start": "never fired"}
    lead_on = Leader(led, library, usual)
    while FactKind.REPAIR_FAILED not in kinds(led):
        lead_on.next_line()
    (failed,) = (fact for fact in led.facts if fact.kind is FactKind.REPAIR_FAILED)
    assert failed.data["fault"] == "crank-sensor"
    assert failed.data["minutes"] == pytest.approx(45, abs=1)
    assert failed.data["odds"].get("crank-sensor", 0.0) < 0.05
    assert led.conversation.state.at.procedure != "recheck-start"
    assert changes(led)[-1].get("fault") != "crank-sensor"
    assert led.trace[-1]["said"][0] == "The repair did not cure it."
    again = Adviser(reasoner, library, led.facts)
    assert again.leader.plan(led.conversation.state) == Adviser(reasoner, library, led.facts).leader.plan(
        fold(library, led.facts)
    )
    assert "crank-sensor" in Thoughts(reasoner, library, led.facts).failed()


def test_a_repair_that_cured_is_confirmed_in_the_same_job(led: Room, library: Library) -> None:
    """Learning gets the fault from the check; nobody need say more."""
    to_proposal(led, library)
    led.type("repair done")
    assert led.type("what next")[-1]["said"][0] == "The repair is what is checked here. No test comes next."
    with pytest.raises(AssertionError, match="the job ended"):
        lead(led, library, "no-start/no-such-step")
    (confirmed,) = (fact for fact in led.facts if fact.kind is FactKind.REPAIR_CONFIRMED)
    assert (confirmed.data["fault"], confirmed.data["by"]) == ("crank-sensor", "recheck")
    record = build_record(led.journal.entries("grey-hatchback"), library)
    assert record.finding is not None
    assert (record.finding.fault, record.finding.repair) == ("crank-sensor", "crank-sensor")


def test_an_end_that_leaves_the_fault_open_claims_nothing(library: Library, reasoner: Reasoner) -> None:
    """Where the plan led, the procedure's own words for its end may speak of tests that were not done."""
    room = Room(library, adviser=Adviser(reasoner, library))
    room.type("done", "it will not start", "lead the way")
    dead = USUAL | {"recheck-start/first-start": "never fired"}
    on = Leader(room, library, dead)
    while room.conversation.state.found != "open":  # whatever repair is proposed first does not cure it
        if room.conversation.state.mode is Mode.CLOSING:
            room.type("repair done")
        on.next_line()
    found = [fact for fact in room.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert found.data["fault"] == "open"
    assert (found.data["proved"], found.data["likely"], found.data["untested"]) == ([], [], [])
    said = next(line["said"] for line in room.trace if any(fact["id"] == found.id for fact in line["facts"]))
    assert "The finding. No test is left that pays. The fault is still open." in said
    assert found.data["by_odds"] in said
    told = str(found.data["by_odds"])
    assert " Not tested: " in told or "These results do not fit together" in told
    assert not [line for line in said if line.startswith("Found by test")]


RINGS = {
    "compression/read-2": "seventy p s i",
    "compression/judge": "just one low",
    "compression-wet/wet-crank": "big rise",
}


def test_where_all_else_was_seen_good_compression_comes_before_a_search(
    led: Room, library: Library, reasoner: Reasoner, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where it is not worth its minutes by the odds nobody would search further without it. What the procedure goes on
    with by itself the plan does not have to choose: it is asked where it would end."""
    lead_to_the_end(led, library, RINGS)
    found = [fact for fact in led.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert found.data["fault"] == "low-compression"
    facts = led.facts
    states = list(accumulate(facts, lambda state, fact: fold(library, (fact,), state), initial=NEW))
    assert states[-1] == led.conversation.state
    entered = next(number for number, state in enumerate(states) if state.at.step == "compression")
    before = facts[: entered - 2]  # neither entered nor chosen yet
    leader, state = Adviser(reasoner, library, before).leader, fold(library, before)
    ended = partial(replace, act=Act.SEARCH, name=NONE_OF_THESE)
    plan = leader._plan
    leader._plan = lambda here, among: ended(plan(here, among))  # type: ignore[method-assign]
    monkeypatch.setattr(leading, "seen_good", lambda reasoner, belief, names: True)
    chosen = leader(state, (), None)
    assert chosen is not None
    assert chosen.step == "compression"
    assert chosen.why.endswith(": all else was seen good.")


def test_where_not_all_was_seen_good_a_search_begins_without_compression(
    led: Room, library: Library, reasoner: Reasoner
) -> None:
    """Before spark, fuel and air were looked at nothing speaks for the engine itself."""
    lead(led, library, "no-start/prime")
    leader, state = Adviser(reasoner, library, led.facts).leader, led.conversation.state
    ended = partial(replace, act=Act.SEARCH, name=NONE_OF_THESE)
    plan = leader._plan
    leader._plan = lambda here, among: ended(plan(here, among))  # type: ignore[method-assign]
    chosen = leader(state, (), state.at)
    assert chosen is not None
    assert chosen.step == "no-test-left"


def test_before_a_search_one_goes_on_to_compression_in_another_block_too(
    led: Room, library: Library, reasoner: Reasoner, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where starting fluid was refused the way leads to the same test by itself: it is no other test there."""
    lead(led, library, "no-start/prime")
    led.type("i found all is dry and there is no fuel smell")
    leader = Adviser(reasoner, library, led.facts).leader
    state = replace(led.conversation.state, position=Position(at=Frame(procedure="no-start", step="substitute")))
    ended = partial(replace, act=Act.SEARCH, name=NONE_OF_THESE)
    plan = leader._plan
    leader._plan = lambda here, among: ended(plan(here, among))  # type: ignore[method-assign]
    monkeypatch.setattr(leading, "seen_good", lambda reasoner, belief, names: True)
    assert leader(state, (), Frame(procedure="no-start", step="compression-refused")) is None
    monkeypatch.setattr(leading, "seen_good", lambda reasoner, belief, names: False)
    chosen = leader(state, (), Frame(procedure="no-start", step="compression-refused"))
    assert chosen is not None
    assert chosen.step == "no-test-left"


def until(room: Room, library: Library, own: dict[str, str], mode: Mode, found: str) -> None:
    """Answer so, until the job closes with this finding."""
    lead_on = Leader(room, library, USUAL | own)
    while (room.conversation.state.mode, room.conversation.state.found) != (mode, found):
        lead_on.next_line()


def test_after_the_repair_of_a_flat_battery_the_charging_check_is_offered_and_led_to(
    led: Room, library: Library
) -> None:
    """Why it went flat is still open: a yes begins the check, whose finding is told beside the repair; what was
    cleared is not asked to be cleared."""
    flat = {"battery-state/rest-volts": "eleven point four volts", "no-start/boost-crank": "it started"}
    until(led, library, flat, Mode.CLOSING, "battery-flat")
    assert led.type("yes")[0]["said"][0] == "There is nothing to say yes to."
    led.type("repair done")
    until(led, library, flat | {"recheck-start/codes-back": "none came back"}, Mode.CLOSING, "start-holds")
    said = led.trace[-1]["said"]
    assert "Say yes to begin that now." in " ".join(said)
    assert "Next: Hand the car over. Ask for word after the first cold start." in said
    (turn,) = led.type("yes")
    assert (turn["procedure"], turn["step"]) == ("charging", "belt")
    assert fold(library, led.facts) == led.conversation.state
    until(led, library, {}, Mode.CLOSING, "charging-good")
    assert led.type("yes")[0]["said"][0] == "There is nothing to say yes to."  # it is offered once
    record = build_record(led.journal.entries("grey-hatchback"), library, {})
    assert record.finding is not None
    assert record.finding.fault == "battery-flat"
    assert record.repair is not None
    assert record.repair.check == "It starts and runs again."
    assert record.repair.next_step.startswith("It charges well. ")


def test_an_hour_on_a_charger_is_not_waited_for_to_test_the_battery(led: Room, library: Library) -> None:
    """The crank on another battery was counted with a few minutes; with a charger alone at hand the rest is weighed
    once more, and charging is the repair itself."""
    flat = {"battery-state/rest-volts": "eleven point four volts", "boost-battery/means": "charger"}
    until(led, library, flat, Mode.CLOSING, "battery-flat")
    entered = [fact.step for fact in led.facts if fact.procedure == "boost-battery"]
    assert "means" in entered
    assert "charge" not in entered
    assert led.conversation.state.at.step == "repair-now"

"""The plan leads where it is let: another block than the procedure's next, said with its reason, kept as a fact."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.facts import FactKind
from assistant.guide import Library, fold
from assistant.procedure.condition import Condition
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.session.adviser import Adviser
from assistant.session.blocks import asked_in_blocks
from assistant.wiring import load_library, load_model
from tests.procedures.fault_player import usual_answers
from tests.session.dialogue_player import Leader
from tests.session.room import Room


@pytest.fixture(scope="module")
def library() -> Library:
    """No-start and all that it calls."""
    return load_library("no-start")[1]


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    """The shipped fault model at work."""
    return make_reasoner(load_model("no-start"))


@pytest.fixture
def room(library: Library, reasoner: Reasoner) -> Room:
    """A job at its first step."""
    return Room(library, adviser=Adviser(reasoner, library))


def lead(room: Room, library: Library, step: str) -> None:
    """Answer as a car without a visible fault does, up to a step."""
    Leader(room, library, {at: said[0] for at, said in usual_answers().items()}).until(step)


def changes(room: Room) -> list[dict[str, object]]:
    return [dict(fact.data) for fact in room.facts if fact.kind is FactKind.PLAN_CHANGED]


def test_by_the_book_nothing_is_chosen(room: Room, library: Library) -> None:
    """Unless it is let, no plan changes the way, and "another test" says what to say first."""
    lead(room, library, "no-start/security")
    assert changes(room) == []
    (turn,) = room.type("another test")
    assert turn["said"][0] == "I go by the book now. Say lead the way first."


def test_the_plan_leads_to_the_block_that_tells_most(room: Room, library: Library, reasoner: Reasoner) -> None:
    """After intake and safety another block comes first, with its reason in one sentence; facts fold to the state."""
    room.type("done", "it will not start")
    assert room.type("lead the way")[0]["said"][0] == "I lead the way from the next test on."
    lead(room, library, "no-start/prime")
    chosen = next(change for change in changes(room) if "to" in change)
    assert chosen["instead"] == "fuel-level"
    assert chosen["to"] in {block.step for block in reasoner.model.blocks}
    said = next(line["said"] for line in room.trace if chosen["why"] in line["said"])
    assert str(chosen["why"]).startswith("Next the ")
    assert said
    assert fold(library, room.facts) == room.conversation.state
    assert room.type("by the book")[0]["said"][0] == "By the book from the next test on."
    assert not room.conversation.state.leads


def test_another_test_leaves_the_block_and_never_with_something_off(room: Room, library: Library) -> None:
    """The block is left for another, as a fact; with an item off the car, that is to be put right first."""
    room.type("done", "it will not start", "lead the way")
    lead(room, library, "no-start/prime")
    before = room.conversation.state.at
    (turn,) = room.type("another test")
    assert changes(room)[-1]["put_off"] == before.step
    assert turn["step"] != before.step
    assert fold(library, room.facts) == room.conversation.state


def test_an_end_that_leaves_the_fault_open_claims_nothing(library: Library, reasoner: Reasoner) -> None:
    """Where the plan led, the procedure's own words for its end may speak of tests that were not done."""
    room = Room(library, adviser=Adviser(reasoner, library))
    room.type("done", "it will not start", "lead the way")
    with pytest.raises(AssertionError, match="the job ended"):
        lead(room, library, "no-start/no-such-step")
    found = [fact for fact in room.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert found.data["fault"] == "open"
    assert (found.data["proved"], found.data["likely"], found.data["untested"]) == ([], [], [])
    said = next(line["said"] for line in room.trace if any(fact["id"] == found.id for fact in line["facts"]))
    assert "The finding. No test is left that pays. The fault is still open." in said
    assert found.data["by_odds"] in said
    assert not [line for line in said if line.startswith("Found by test")]


def test_every_block_stands_in_the_procedure_and_asks_something(library: Library, reasoner: Reasoner) -> None:
    """What belongs to a block ends where the next begins: the spark check is not part of reading codes."""
    blocks = asked_in_blocks(reasoner.model, library)
    assert set(blocks) == {block.step for block in reasoner.model.blocks}
    assert all(blocks.values())
    assert "spark-check" in blocks["spark"]
    assert "spark-check" not in blocks["codes"]
    assert "other-key" in blocks["security"]


def test_after_a_told_leak_no_block_is_led_to_for_what_could_light_it(library: Library, reasoner: Reasoner) -> None:
    """Asked for another test again and again, the plan never names a spray, a spark or a crank."""
    room = Room(library, adviser=Adviser(reasoner, library))
    room.type("done", "it will not start", "lead the way")
    room.type("i found there is a fuel leak or smell")
    assert Condition.LEAK in room.conversation.state.bay.conditions
    adviser = Adviser(reasoner, library, room.facts)
    turned = {test.say for test in reasoner.model.tests if test.work and test.work.cranks_s}
    state, chosen = replace(room.conversation.state, chosen=frozenset()), []
    while (led := adviser.choose(state, (), "")) is not None:
        chosen.append(led)
        state = replace(state, chosen=state.chosen | {led.step})
    assert chosen
    assert not [led.why for led in chosen for words in turned if f"Next the {words}," in led.why]
    blocks = asked_in_blocks(reasoner.model, library)
    asked = {test.say: test.id for test in reasoner.model.tests}
    for led in chosen:
        name = next(words for words in asked if f"Next the {words}," in led.why)
        assert Condition.LEAK not in blocks[led.step][asked[name]].closed_by

"""The plan leads where it is let: another block than the procedure's next, said with its reason, kept as a fact."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from assistant.errors import RecordError
from assistant.facts import Fact, FactKind
from assistant.guide import Library, fold
from assistant.guide.plan_changes import second_look
from assistant.guide.state import Frame
from assistant.procedure.condition import Condition
from assistant.reasoning.planner import Act, Plan
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from assistant.session.blocks import Walk
from assistant.session.leading import Leader
from assistant.session.thoughts import Thoughts, belief_of
from tests.session.dialogue_player import Leader as Player
from tests.session.led_jobs import USUAL, changes, lead, lead_to_the_end
from tests.session.room import Room


def test_by_the_book_nothing_is_chosen(room: Room, library: Library) -> None:
    """Unless it is let, no plan changes the way, and "another test" says what to say first."""
    lead(room, library, "no-start/security")
    assert changes(room) == []
    (turn,) = room.type("another test")
    assert turn["said"][0] == "We go by the book now. Say lead the way first."


def test_the_plan_leads_from_the_cheap_facts_on(library: Library, reasoner: Reasoner) -> None:
    """After intake and safety come the cheap facts, then what tells most a minute, each with its reason in one
    sentence; the facts fold to the state."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead(room, library, "no-start/security")
    assert changes(room) == []
    lead(room, library, "no-start/prime")
    battery, chosen = changes(room)
    assert (battery["to"], battery["instead"]) == ("battery", "visual")
    assert (chosen["to"], chosen["instead"], chosen["test"]) == ("prime", "cranking", "pump-prime")
    said = next(line["said"] for line in room.trace if chosen["why"] in line["said"])
    assert str(chosen["why"]).startswith("Next the ")
    assert said
    assert fold(library, room.facts) == room.conversation.state
    assert room.type("by the book")[0]["said"][0] == "By the book from the next test on."
    assert not room.conversation.state.leads


def test_a_whole_led_job_asks_nothing_twice_and_comes_to_what_it_names(library: Library, reasoner: Reasoner) -> None:
    """Nothing is asked again but for a second look; a test that is named next is the one that is done next, or its way
    is closed by what was seen; a block is left only after what it was entered for."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead_to_the_end(room, library, {})
    done: list[tuple[str, str]] = []
    again, wanted = "", ""
    for fact in room.facts:
        if fact.kind is FactKind.PLAN_CHANGED:
            assert not wanted, f"{fact.data['why']} before {wanted} was done"
            again, wanted = str(fact.data.get("again", "")), str(fact.data.get("test", ""))
        if fact.kind in (FactKind.RESULT_LOGGED, FactKind.READING_LOGGED):
            here = (str(fact.procedure), str(fact.step))
            tests = {
                test.id for test in reasoner.model.tests for at in test.seen_from if (at.procedure, at.step) == here
            }
            assert here not in done or not tests or again, here
            done.append(here)
            wanted = "" if wanted in tests else wanted
    assert len(changes(room)) > 5


def test_to_who_knows_the_work_a_test_is_named_and_its_reason_kept(library: Library, reasoner: Reasoner) -> None:
    """Briefly it is said without its reason, which stands in the fact and in the record as ever."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    room.type("be brief")
    lead(room, library, "no-start/prime")
    chosen = changes(room)[-1]
    assert ", to tell " in chosen["why"]
    said = [text for line in room.trace for text in line["said"]]
    block = next(each.say for each in reasoner.model.blocks if each.step == chosen["to"])
    assert f"Next: {block}." in said
    assert chosen["why"] not in said


def test_every_block_stands_in_the_procedure_and_asks_something(library: Library, reasoner: Reasoner) -> None:
    """What belongs to a block ends where the next begins: the spark check is not part of reading codes."""
    blocks = Walk(reasoner.model, library).in_blocks()
    assert set(blocks) == {block.step for block in reasoner.model.blocks}
    assert all(blocks.values())
    assert "spark-check" in blocks["spark"]
    assert "spark-check" not in blocks["reader"]
    assert "other-key" in blocks["other-key"]
    assert "other-key" not in blocks["security"]


def test_after_a_told_leak_no_block_is_led_to_for_what_could_light_it(library: Library, reasoner: Reasoner) -> None:
    """Asked for another test again and again, the plan never names a spray, a spark or a crank."""
    room = Room(library, adviser=Adviser(reasoner, library))
    room.type("done", "it will not start", "lead the way")
    room.type("i found there is a fuel leak")
    assert Condition.LEAK in room.conversation.state.bay.conditions
    adviser = Adviser(reasoner, library, room.facts)
    turned = {test.say for test in reasoner.model.tests if test.work and test.work.cranks_s}
    state, chosen = replace(room.conversation.state, chosen=frozenset()), []
    while (led := adviser.leader(state, (), None)) is not None and led.test:
        chosen.append(led)
        state = replace(state, chosen=state.chosen | {led.step, second_look(led.test)})
    assert chosen
    assert not [led.why for led in chosen for words in turned if f"Next the {words}," in led.why]
    blocks = Walk(reasoner.model, library).in_blocks()
    asked = {test.say: test.id for test in reasoner.model.tests}
    for led in chosen:
        name = next(words for words in asked if led.why.startswith((f"Next the {words},", f"Once more the {words},")))
        assert Condition.LEAK not in blocks[led.step][asked[name]].closed_by


def test_it_is_looked_ahead_once_for_the_same_facts(library: Library, reasoner: Reasoner) -> None:
    """The leader and the adviser, who plan one after the other in a turn, think of the very same belief."""

    def told(number: int, test: str, result: str) -> Fact:
        data = {"test": test, "result": result}
        return Fact(
            id=f"k-{number}", job="j", number=number, at_s=0.0, kind=FactKind.TEST_TOLD, procedure="no-start", data=data
        )

    first, second = told(1, "pump-prime", "heard"), told(2, "spark-check", "none")
    thoughts = Thoughts(reasoner, library, [first])
    ahead, _ = thoughts.after([second])
    foreseen = thoughts.foreseen(ahead)
    thoughts.take(second)
    assert thoughts.belief is ahead
    assert thoughts.foreseen(thoughts.belief) is foreseen


def test_a_second_look_is_no_new_test(reasoner: Reasoner) -> None:
    """What the plan has looked at once more counts as a second look, and a third is not offered."""

    def fact(number: int, kind: FactKind, **data: object) -> Fact:
        return Fact(id=f"k-{number}", job="j", number=number, at_s=0.0, kind=kind, procedure="no-start", data=data)

    first = fact(1, FactKind.TEST_TOLD, test="pump-prime", result="silent")
    change = fact(2, FactKind.PLAN_CHANGED, to="prime", again="pump-prime")
    second = fact(3, FactKind.TEST_TOLD, test="pump-prime", result="heard")
    belief = belief_of(reasoner, [first, change, second])
    assert (belief.evidence["pump-prime"], belief.again) == ("silent", {"pump-prime": "heard"})
    assert belief_of(reasoner, [first, second]).evidence["pump-prime"] == "heard"


class Counting(Thoughts):
    """Counts the plans that are made."""

    plans = 0

    def plan(self, *args: Any, **more: Any) -> Plan:
        self.plans += 1
        return super().plan(*args, **more)


def test_one_plan_a_turn_and_the_adviser_goes_by_it(led: Room, library: Library, reasoner: Reasoner) -> None:
    """Where the procedure goes on to its next block one plan is made, and kept for what is believed now alone."""
    thoughts = Counting(reasoner, library, led.facts)
    leader = Leader(thoughts, library)
    state = led.conversation.state
    chosen = leader(state, (), Frame(procedure="no-start", step="visual"))
    assert chosen is not None
    assert thoughts.plans == 1
    made = leader.made_for(thoughts.belief)
    assert made is not None
    assert made.act is Act.TEST
    assert leader.made_for(belief_of(reasoner, led.facts)) is None


def test_a_finding_beyond_the_model_waits_while_a_test_pays(led: Room, library: Library, reasoner: Reasoner) -> None:
    """Where no fault of the model is likely yet, a missing command at the injectors names none and ends nothing."""
    leader = Adviser(reasoner, library, led.facts).leader
    chosen = leader(led.conversation.state, (), Frame(procedure="injector-pulse", step="injector-drive"))
    assert chosen is not None
    assert chosen.aside
    assert chosen.test


PUFFS = {
    "fuel-substitute-paced/remote": "remote switch",
    "cranking-check/turn": "it started",
    "starts-then-dies/sensor": "none to be found",
    "fuel-substitute-paced/result": "lived on puffs",
    "fuel-pressure/read-port": "fifty p s i",
    "fuel-supply/volume": "one hundred millilitres",
    "fuel-supply/filter-place": "inside with the pump",
}
"""A car that starts and dies, and whose fuel pressure is good."""


def test_what_is_put_aside_is_come_back_to(library: Library, reasoner: Reasoner) -> None:
    """Where another test pays much more the rest of a block waits, as a fact that says where; the plan comes back to
    that very step, in its calls: no test is lost by leaving."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead_to_the_end(room, library, PUFFS)
    told = changes(room)
    waits = [dict(enumerate(each["aside"]))[0][1] for each in told if "aside" in each]
    back = [each["to"] for each in told if each.get("back")]
    assert back
    assert set(back) <= set(waits)
    at = next(
        number for number, fact in enumerate(room.facts) if fact.kind is FactKind.PLAN_CHANGED and fact.data.get("back")
    )
    kept = next(each["aside"] for each in told if each.get("aside") and each["aside"][0][1] == back[0])
    entered = room.facts[at + 1]
    assert [[entered.procedure, entered.step]] == kept[-1:]
    assert entered.data.get("stack", []) == kept[:-1]
    state = fold(library, room.facts[: at + 2])
    assert [[frame.procedure, frame.step] for frame in (*state.position.stack, state.at)] == kept
    assert fold(library, room.facts) == room.conversation.state
    gone = replace(room.facts[at], data={**room.facts[at].data, "aside": [["no-start", "no-such-step"]]})
    with pytest.raises(RecordError, match="does not fit its procedures"):
        fold(library, [*room.facts[:at], gone])


def test_a_pack_that_is_at_hand_is_put_on_before_anything_else(library: Library, reasoner: Reasoner) -> None:
    """Once a jump pack is named the plan does not go elsewhere until it is on, as if its clamps were there."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    flat = {"no-start/how-stopped": "dead next morning", "battery-state/rest-volts": "ten point eight volts"}
    player = Player(room, library, USUAL | flat | {"boost-battery/means": "jump pack"})
    player.until("boost-battery/means")
    room.type("jump pack", "yes")
    at = room.conversation.state.position.at
    assert (at.procedure, at.step) == ("boost-battery", "connect")

"""The plan leads where it is let: another block than the procedure's next, said with its reason, kept as a fact."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.errors import RecordError
from assistant.facts import Fact, FactKind
from assistant.guide import Library, Mode, fold
from assistant.guide.plan_changes import second_look
from assistant.procedure.condition import Condition
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.record.build import build_record
from assistant.session.adviser import Adviser
from assistant.session.blocks import Walk
from assistant.session.thoughts import Thoughts, belief_of
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


def lead_to_the_end(room: Room, library: Library, own: dict[str, str]) -> None:
    Leader(room, library, {at: said[0] for at, said in usual_answers().items()} | own).until(None)


def test_to_who_knows_the_work_a_test_is_named_and_its_reason_kept(library: Library, reasoner: Reasoner) -> None:
    """Briefly it is said without its reason, which stands in the fact and in the record as ever."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    room.type("be brief")
    lead(room, library, "no-start/prime")
    chosen = changes(room)[-1]
    assert ", to tell " in chosen["why"]
    said = [text for line in room.trace for text in line["said"]]
    assert f"Next: {reasoner.model.test(chosen['test']).say}." in said
    assert chosen["why"] not in said


def test_another_test_leaves_the_block_and_never_with_something_off(room: Room, library: Library) -> None:
    """The block is left for another, as a fact; with an item off the car, that is to be put right first."""
    assert room.type("done", "it will not start", "lead the way")[-1]["said"][0] == (
        "I will lead from the next test on."
    )
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
    dead = {at: said[0] for at, said in usual_answers().items()} | {"recheck-start/first-start": "never fired"}
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
    assert not [line for line in said if line.startswith("Found by test")]


def test_every_block_stands_in_the_procedure_and_asks_something(library: Library, reasoner: Reasoner) -> None:
    """What belongs to a block ends where the next begins: the spark check is not part of reading codes."""
    blocks = Walk(reasoner.model, library).in_blocks()
    assert set(blocks) == {block.step for block in reasoner.model.blocks}
    assert all(blocks.values())
    assert "spark-check" in blocks["spark"]
    assert "spark-check" not in blocks["reader"]
    assert "other-key" in blocks["security"]


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


SAFE = "no-start/fuel-level"
"""The first step behind intake and safety."""


@pytest.fixture
def led(library: Library, reasoner: Reasoner) -> Room:
    """A led job behind intake and safety."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead(room, library, SAFE)
    return room


def kinds(room: Room) -> list[FactKind]:
    return [fact.kind for fact in room.facts]


def test_nobody_is_led_past_intake_and_safety(library: Library, reasoner: Reasoner) -> None:
    """Neither another test, nor a named one, nor what cannot be done leads round the cautions at the beginning."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    room.type("done", "it will not start")
    for words in ("another test", "take me to the spark check"):
        (turn,) = room.type(words)
        assert turn["said"][0] == "Not until intake and safety are done.", words
    lead(room, library, "safety-setup/shop")
    (turn,) = room.type("i can't do that")
    assert turn["said"][0].startswith("The answer to this step decides the way on.")
    assert turn["step"] == "shop"


def test_take_me_to_enters_a_block_with_its_cautions(led: Room, library: Library) -> None:
    """The name leads there, the reason is the technician's word, and cautions and gates come as always."""
    turns = led.type("take me to the cranking check")
    assert turns[0]["command"] == "take me to cranking"
    assert turns[0]["said"][0] == "To the cranking check."
    assert turns[-1]["mode"] == "cautioning"
    assert turns[-1]["procedure"] == "cranking-check"
    assert changes(led)[-1]["by"] == "technician"
    assert fold(library, led.facts) == led.conversation.state


def test_take_me_to_is_refused_where_nothing_has_opened_the_way(led: Room) -> None:
    """The wiring of an ignition whose spark nobody looked at is no test of anything."""
    before = led.conversation.state
    (turn,) = led.type("take me to ignition wiring")
    assert turn["said"][0] == "That only follows what the spark check may show."
    assert led.conversation.state == before


def test_told_wrong_fuel_stands_before_the_block_that_was_named(
    led: Room, library: Library, reasoner: Reasoner
) -> None:
    """Whatever leads there, the engine is not turned on the wrong fuel."""
    lead(led, library, "no-start/security")
    fuel = reasoner.model.test("fuel-level")
    led.type(f"i found {fuel.values[fuel.index('wrong')].say}")
    turns = led.type("take me to the cranking check", "eyes are covered", "done")
    assert "The wrong fuel is in it, so the engine must not turn." in [text for turn in turns for text in turn["said"]]
    assert led.conversation.state.mode in (Mode.CAUTIONING, Mode.GATING)


@pytest.mark.parametrize("leads", [True, False])
def test_a_late_diesel_leaves_the_work_for_another_fuel(library: Library, reasoner: Reasoner, *, leads: bool) -> None:
    """Led or by the book, in the middle of a block, the job goes where its intake would have gone; once is enough."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=leads)
    lead(room, library, SAFE)
    (turn, *_) = room.type("change the fuel to diesel")
    assert turn["said"][:2] == ["Fuel: diesel.", "What I know was for another fuel."]
    assert (turn["step"], turn["mode"]) == ("other-fuel", "closing")
    assert room.conversation.state.vehicle["fuel"] == "diesel"
    assert fold(library, room.facts) == room.conversation.state
    (again,) = room.type("change fuel to diesel")
    assert again["said"][0] == "Diesel is noted already."


def test_what_cannot_be_done_is_asked_why_and_stays_away(led: Room, library: Library, reasoner: Reasoner) -> None:
    """The reason is a fact; every test that needs the missing tool is left out for the job, also after a resume."""
    led.type("take me to fault codes")
    (asked,) = led.type("i can't do that")
    assert asked["mode"] == "excusing"
    assert asked["said"] == ["Why not? Say no tool for it, cannot reach it, too loud here or not on this car."]
    assert asked["can_say"][:4] == ["no tool for it", "cannot reach it", "too loud here", "not on this car"]
    turns = led.type("no tool for it")
    assert turns[0]["said"][0] == "Noted: no tool for it. I will leave it out."
    (fact,) = (fact for fact in led.facts if fact.kind is FactKind.TEST_LEFT_OUT)
    assert (fact.step, fact.data["why"]) == ("reader", "no-tool")
    assert led.conversation.state.at.step != "reader"
    away = {test.id for test in reasoner.model.tests if test.work and "reader" in test.work.set_ups}
    assert {"codes", "crank-signal"} <= away
    resumed = Adviser(reasoner, library, led.facts)
    offered = {option.test for option in resumed.leader.plan(led.conversation.state).options}
    assert offered
    assert not offered & away
    assert fold(library, led.facts) == led.conversation.state


def test_no_to_the_question_why_not_stays(led: Room) -> None:
    """It was not meant, or not said: the step is asked as before."""
    led.type("i can't do that", "no")
    assert led.conversation.state.mode is Mode.ASKING
    assert f"no-start/{led.conversation.state.at.step}" == SAFE
    assert kinds(led)[-2:] == [FactKind.CANNOT_ASKED, FactKind.CANNOT_DECLINED]


def test_by_the_book_what_cannot_be_done_is_passed_over_as_by_a_skip(room: Room, library: Library) -> None:
    """The fixed order goes on, and the reason is kept all the same."""
    lead(room, library, "battery-state/posts")
    step = room.conversation.state.at.step
    room.type("i can't do that")
    if room.conversation.state.mode is Mode.EXCUSING:
        room.type("cannot reach it")
        assert FactKind.TEST_LEFT_OUT in kinds(room)
        assert room.conversation.state.at.step != step
    else:
        assert room.conversation.state.at.step == step


def to_proposal(room: Room, library: Library) -> None:
    """A car whose crank sensor is dead, until the plan proposes its repair."""
    usual = {at: said[0] for at, said in usual_answers().items()}
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


def test_a_repair_that_did_not_cure_goes_back_to_the_plan_as_evidence(
    led: Room, library: Library, reasoner: Reasoner
) -> None:
    """The fault repaired is out, and another test or repair follows; a resumed job thinks the same."""
    to_proposal(led, library)
    led.type("@wait 2700", "repair done")
    usual = {at: said[0] for at, said in usual_answers().items()} | {"recheck-start/first-start": "never fired"}
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
    with pytest.raises(AssertionError, match="the job ended"):
        lead(led, library, "no-start/no-such-step")
    (confirmed,) = (fact for fact in led.facts if fact.kind is FactKind.REPAIR_CONFIRMED)
    assert (confirmed.data["fault"], confirmed.data["by"]) == ("crank-sensor", "recheck")
    record = build_record(led.journal.entries("grey-hatchback"), library)
    assert record.finding is not None
    assert (record.finding.fault, record.finding.repair) == ("crank-sensor", "crank-sensor")


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


PUFFS = {
    "fuel-substitute-paced/remote": "remote switch",
    "cranking-check/turn": "it started",
    "starts-then-dies/sensor": "none to be found",
    "fuel-substitute-paced/result": "lived on puffs",
    "fuel-pressure/read-port": "twenty p s i",
    "fuel-supply/volume": "one hundred millilitres",
    "fuel-supply/filter-place": "inside with the pump",
}
"""A weak pump on a car that starts and dies."""


def test_what_is_put_aside_is_come_back_to(library: Library, reasoner: Reasoner) -> None:
    """Where another test pays much more the rest of a block waits, as a fact that says where; the plan comes back to
    that very step, in its calls, and the job ends in the fault: no test is lost by leaving."""
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
    (found,) = (fact for fact in room.facts if fact.kind is FactKind.FINDING_REACHED)
    assert found.data["fault"] == "pump-weak"
    assert fold(library, room.facts) == room.conversation.state
    gone = replace(room.facts[at], data={**room.facts[at].data, "aside": [["no-start", "no-such-step"]]})
    with pytest.raises(RecordError, match="does not fit its procedures"):
        fold(library, [*room.facts[:at], gone])

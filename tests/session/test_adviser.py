"""Thinking along with a job: questions change nothing, odds go into the record, a finding says whether it is proved."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from assistant.facts import Fact, FactKind
from assistant.guide import Library, Mode, fold
from assistant.language.commands import ALWAYS
from assistant.language.model import Expected
from assistant.reasoning.evidence import BY_EAR, evidence_from_facts
from assistant.reasoning.reasoner import Reasoner
from assistant.record.build import build_record
from assistant.session.adviser import Adviser, may_ask
from assistant.session.logged import logged
from tests.procedures.fault_player import usual_answers
from tests.session.dialogue_player import FOLDER, Leader, play
from tests.session.led_jobs import lead
from tests.session.room import Room

TO_FUEL = ("done", "it will not start", "nothing changed")


@pytest.mark.parametrize("question", ["what do you think", "why", "what next", "what if there is no spark"])
def test_a_question_is_answered_and_changes_nothing(room: Room, question: str) -> None:
    """One or two sentences; no fact, the same step, the same mode."""
    room.type(*TO_FUEL)
    before, facts = room.conversation.state, room.facts
    (turn,) = room.type(question)
    assert room.conversation.state == before
    assert room.facts == facts
    assert turn["command"].startswith(question[:7].strip())
    assert turn["facts"] == []
    (said,) = turn["said"]
    assert 1 <= len(re.findall(r"[.?!](?:\s|$)", said)) <= 2


def test_what_can_be_asked_is_told_with_what_can_be_said(room: Room) -> None:
    """Nobody need read a manual to learn of the questions; where none may be asked none is named."""
    room.type("done")
    assert "Ask what do you think" not in " ".join(room.type("what can i say")[0]["said"])
    said = " ".join(room.type("it will not start", "what can i say")[-1]["said"])
    assert "Ask what do you think, why, what next, what is left to test, or read the record." in said
    assert "after i found, say what a test shows." in said


def test_a_supposition_may_use_the_words_of_the_step(room: Room) -> None:
    """At the gauge its own phrase may follow what if, and the trace says what can be asked."""
    room.type("done", "it will not start")
    assert "what if it stood for weeks" in room.trace[-1]["can_say"]
    (turn,) = room.type("what if nothing changed")
    assert turn["command"] == "what if history=nothing"
    assert turn["said"][0].startswith("If nothing special happened before, ")


def test_what_is_logged_becomes_evidence_and_what_is_struck_does_not(room: Room, library: Library, reasoner) -> None:
    """Results, bands and codes count until they are struck, and a resumed job knows the same."""
    room.type("done", "it will not start", "stood for weeks", "yes")
    assert ("no-start", "changed", "stood") in logged(room.facts)
    assert Adviser(reasoner, library, room.facts).evidence == {"history": "stood"}
    room.type("strike that", "yes")
    assert ("no-start", "changed", "stood") not in logged(room.facts)
    assert Adviser(reasoner, library, room.facts).evidence == {}


def test_a_test_of_own_choice_is_told_out_of_order(room: Room, library: Library, reasoner: Reasoner) -> None:
    """It is noted and echoed, moves the odds and nothing else, stands in the record, is struck, and is resumed."""
    room.type(*TO_FUEL)
    before = room.conversation.state
    told = next(words for words in room.trace[-1]["can_say"] if words.startswith("i found "))
    assert room.type(told)[0]["command"].startswith("found ")
    (turn,) = room.type("i found there is no spark")
    after = room.conversation.state
    assert (after.at, after.mode, after.kept) == (before.at, before.mode, before.kept)
    assert turn["command"] == "found spark-check=none"
    assert turn["said"][0] == "Noted: there is no spark."
    (kept,) = turn["facts"]
    assert (kept["kind"], kept["step"]) == ("test-told", None)
    assert max(kept["data"]["odds"], key=lambda name: kept["data"]["odds"][name]) == "crank-sensor"
    assert Adviser(reasoner, library, room.facts).evidence["spark-check"] == "none"
    assert fold(library, room.facts) == after
    record = build_record(room.journal.entries("grey-hatchback"), library)
    assert ("spark check, by own choice", "there is no spark") in [(one.question, one.label) for one in record.results]
    assert "Struck: there is no spark." in room.type("strike that", "yes")[1]["said"]
    assert "spark-check" not in Adviser(reasoner, library, room.facts).evidence


def test_a_test_told_where_the_step_asks_for_it_is_the_answer_of_the_step(room: Room) -> None:
    """It moves the job on, as the step's own words do."""
    room.type("done", "it will not start")
    (turn,) = room.type("i found it stood for weeks")
    assert turn["command"] == "result stood"
    assert turn["facts"][0]["kind"] == "result-logged"
    assert turn["step"] != "changed"


def test_it_says_once_that_further_tests_cost_more_than_they_tell(room: Room, reasoner: Reasoner) -> None:
    """With everything healthy that can be looked at nothing is proved, and nothing pays any more."""
    room.type("done", "it will not start")
    said: list[str] = []
    for test in reasoner.model.tests:
        healthy = max(zip(test.default, test.values, strict=True), key=lambda each: each[0])[1]
        (turn,) = room.type(f"i found {healthy.say}")
        said += turn["said"]
    over = [line for line in said if line.startswith(("I would stop testing", "No test that I know is worth"))]
    assert len(over) == 1
    assert "almost certain" not in over[0]


def test_what_was_told_before_is_recalled_where_the_step_asks_it(room: Room, library: Library) -> None:
    """Nobody need remember what was said half an hour ago; a step about something else recalls nothing."""
    room.type("done", "it will not start", "i found there is plenty of fuel")
    answers = {step: said[0] for step, said in usual_answers().items()}
    Leader(room, library, answers).until("no-start/fuel-level")
    asked = next(line for line in reversed(room.trace) if line["step"] == "fuel-level")
    assert "You told me: there is plenty of fuel." in asked["said"]
    assert sum("You told me" in " ".join(line["said"]) for line in room.trace) == 1


def test_what_was_told_gives_way_to_a_later_answer_and_one_that_no_model_knows_is_passed_over(
    reasoner: Reasoner,
) -> None:
    """The last word on a test counts, whoever asked for it."""
    seen = next(test for test in reasoner.model.tests if test.id == "history").seen_from[0]
    told = ("", "history", "nothing")
    asked = (seen.procedure, seen.step, "stood")
    assert evidence_from_facts(reasoner.model, [told, asked]) == {"history": "stood"}
    assert evidence_from_facts(reasoner.model, [asked, told]) == {"history": "nothing"}
    assert evidence_from_facts(reasoner.model, [("", "crystal-ball", "cloudy"), ("", "history", "cloudy")]) == {}


def fact(number: int, kind: FactKind, **data: object) -> Fact:
    return Fact(
        id=f"k-{number}", job="j", number=number, at_s=0.0, kind=kind, procedure="no-start", step="codes", data=data
    )


def test_a_code_step_that_is_done_without_codes_says_that_there_are_none() -> None:
    """Done after a code says nothing more."""
    done = fact(2, FactKind.INSTRUCTION_DONE)
    assert logged([done]) == (("no-start", "codes", "none"),)
    assert logged([fact(1, FactKind.CODE_LOGGED, code="P0335"), done]) == (("no-start", "codes", "P0335"),)


def test_the_odds_go_with_what_moved_them_and_are_drawn(library: Library, reasoner: Reasoner) -> None:
    """Each fact that moves the odds carries them; the record takes them up; the state needs none of it."""
    room, _ = play(library, FOLDER / "empty-tank.yaml", Adviser(reasoner, library))
    carrying = [one for one in room.facts if "odds" in one.data]
    assert {FactKind.RESULT_LOGGED, FactKind.FINDING_REACHED} <= {one.kind for one in carrying}
    for one in carrying:
        assert all(0.0 < odds <= 1.0 for odds in one.data["odds"].values())
    assert fold(library, room.facts) == room.conversation.state
    record = build_record(room.journal.entries("grey-hatchback"), library)
    assert len(record.odds) == len(carrying)
    assert record.finding is not None


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("empty-tank", "Proved by the odds: an empty tank, almost certain, since it starts on fresh fuel"),
        ("dead-pump", "By the odds a dead fuel pump, almost certain, but not what of it failed"),
        ("no-spark-sensor", "Proved by the odds: a faulty crank sensor, almost certain, since "),
        ("flat-battery", "Not proved by the odds: a flat or worn-out battery, about "),
        ("security-key", "Proved by the odds: an immobiliser that blocks the start, almost certain, since "),
        ("wrong-fuel", "Not proved by the odds: wrong or stale fuel, about "),
        ("place-not-safe", None),
    ],
)
def test_a_finding_says_whether_the_odds_prove_it(
    library: Library, reasoner: Reasoner, name: str, said: str | None
) -> None:
    """Said right after the finding and kept with it; a finding that names no fault of the car has no odds."""
    room, _ = play(library, FOLDER / f"{name}.yaml", Adviser(reasoner, library))
    found = [one for one in room.facts if one.kind is FactKind.FINDING_REACHED][-1]
    by_odds = found.data.get("by_odds")
    if said is None:
        assert by_odds is None
        return
    assert by_odds.startswith(said)
    spoken = next(line["said"] for line in room.trace if any(one["id"] == found.id for one in line["facts"]))
    assert spoken[1 + next(n for n, one in enumerate(spoken) if one.startswith("The finding"))] == by_odds


def test_the_finding_is_told_again_with_its_odds(library: Library, reasoner: Reasoner) -> None:
    """Say again in the closing brings the same sentence; the repair may be confirmed there, by voice."""
    room = Room(library, adviser=Adviser(reasoner, library))
    room.type("done", "it will not start", "nothing changed")
    usual = {step: said[0] for step, said in usual_answers().items()}
    leader = Leader(room, library, {**usual, "no-start/fuel-level": "diesel went in"})
    for _ in range(60):
        if room.conversation.state.mode is Mode.CLOSING:
            break
        leader.next_line()
    (by_odds,) = [one.data["by_odds"] for one in room.facts if "by_odds" in one.data]
    assert by_odds in room.type("say again")[0]["said"]
    assert "repair confirmed" in room.trace[-1]["can_say"]
    room.type("repair confirmed")
    assert (room.facts[-1].kind, room.facts[-1].data["fault"]) == (FactKind.REPAIR_CONFIRMED, "bad-fuel")
    assert fold(library, room.facts) == room.conversation.state


def test_without_a_model_a_question_is_refused_in_words(library: Library) -> None:
    """A procedure without a fault model says so."""
    room = Room(library, "charging")
    assert "why" not in room.trace[0]["can_say"]
    (turn,) = room.type("what do you think")
    assert turn["said"] == ["I have no odds for this procedure."]


def test_without_a_model_why_is_answered_by_what_was_told(library: Library) -> None:
    """The answer before it, or at the end what was found by which test; nothing is reckoned."""
    room = Room(library, "charging")
    (turn,) = room.type("why")
    assert turn["said"] == ["This is what the part begins with."]
    (turn,) = room.type("what next")
    assert turn["said"] == ["This part has its own order. What comes next hangs on your answer."]
    for words in ("fan is clear", "tight and whole", "yes"):
        room.type(words)
    (turn,) = room.type("why")
    assert turn["said"] == ["You told me: tight and whole. After that this is tested."]
    room = Room(library, "charging")
    for words in ("fan is clear", "belt is torn", "yes"):
        room.type(words)
    (turn,) = room.type("why")
    assert turn["said"] == ["Found by test: The alternator belt is loose, torn or gone."]


def test_no_question_while_words_are_kept_or_the_starter_is_counted(room: Room) -> None:
    """A question inside a note is a word of the note, and nothing talks over the tones."""
    room.type("done", "it will not start", "note")
    (turn,) = room.type("what next")
    assert turn["command"] == "words"
    assert [one["kind"] for one in turn["facts"]] == ["note-taken"]
    timing = replace(room.conversation.state, mode=Mode.TIMING)
    assert not may_ask(timing, Expected(controls=ALWAYS))


def test_what_next_and_what_is_left_name_tests_that_this_job_asks(library: Library, reasoner: Reasoner) -> None:
    """One sentence each, never a test that no step of the job asks."""
    room = Room(library, adviser=Adviser(reasoner, library))
    room.type("done", "it will not start")
    said = room.type("what next")[0]["said"][0]
    assert said.startswith("Next the ")
    assert room.type("what is left to test")[0]["said"][0].startswith("Left, the best first: the ")
    room.type("nothing changed")
    assert "what happened before" not in room.type("what is left to test")[0]["said"][0]


def hazardous(reasoner: Reasoner) -> set[str]:
    """Tests that turn the engine, spark, spray or open the fuel."""
    tests = {test.id for test in reasoner.model.tests if test.work and (test.work.cranks_s or test.work.leaves)}
    return tests | {"spark-check", "fuel-sample", "fuel-volume", "fuel-pressure"}


def test_after_a_told_leak_nothing_is_proposed_that_could_light_it(library: Library, reasoner: Reasoner) -> None:
    """Neither a spray, a spark nor a crank, in the plan nor in the words; before it they were among the options."""
    adviser = Adviser(reasoner, library)
    room = Room(library, adviser=adviser)
    room.type(*TO_FUEL, "i found all is dry and there is no fuel smell", "i found there is spark")
    before = {option.test for option in adviser.plan(room.conversation.state).options}
    assert {"fuel-substitute", "cranking-speed", "pedal-down"} <= before
    room.type("i found there is a fuel leak")
    plan = adviser.plan(room.conversation.state)
    assert not {option.test for option in plan.options} & hazardous(reasoner)
    assert not {option.goal for option in plan.options} & hazardous(reasoner)
    says = {reasoner.model.test(name).say for name in hazardous(reasoner)}
    for question in ("what next", "what is left to test", "what if the security lamp goes out"):
        (said,) = room.type(question)[0]["said"]
        assert not [words for words in says if f"the {words}" in said]


def test_after_a_spray_a_spark_has_its_wait_in_its_minutes(library: Library, reasoner: Reasoner) -> None:
    """Five minutes and the can's way out of the bay, beside the tester's own set-up; a look costs what it did."""
    adviser = Adviser(reasoner, library)
    room = Room(library, adviser=adviser)
    room.type(*TO_FUEL, "i found all is dry and there is no fuel smell")
    before = {option.test: option.minutes for option in adviser.plan(room.conversation.state).options}
    room.type("i found it only kicks on starting fluid")
    assert room.conversation.state.vapour
    after = {option.test: option.minutes for option in adviser.plan(room.conversation.state).options}
    assert after["spark-check"] >= before["spark-check"] + 5.0
    assert after["security-lamp"] == pytest.approx(before["security-lamp"])


def test_what_was_skipped_is_not_proposed_again(library: Library, reasoner: Reasoner) -> None:
    """The technician said that it cannot be done; a resumed job knows it still."""
    adviser = Adviser(reasoner, library)
    room = Room(library, adviser=adviser)
    Leader(room, library, {at: said[0] for at, said in usual_answers().items()}).until("no-start/fuel-level")
    assert "fuel-level" in {option.test for option in adviser.plan(room.conversation.state).options}
    room.type("skip", "the gauge is dead")
    state = room.conversation.state
    assert "fuel-level" not in {option.test for option in adviser.plan(state).options}
    assert "fuel-level" not in {option.test for option in Adviser(reasoner, library, room.facts).plan(state).options}


def test_a_conflict_is_said_once_with_the_cheapest_test_that_decides(room: Room, reasoner: Reasoner) -> None:
    """No spark and no speed on the reader, and yet it ran on starting fluid: said when it shows, not again."""
    room.type(*TO_FUEL)
    for test, value in (
        ("spark-check", "none"),
        ("crank-signal", "zero"),
        ("fuel-substitute", "runs"),
        ("clamps", "tight"),
    ):
        known = reasoner.model.test(test)
        room.type(f"i found {known.values[known.index(value)].say}")
    told = [text for line in room.trace for text in line["said"] if "do not fit together" in text]
    assert len(told) == 1
    assert told[0].startswith("These results do not fit together. ")
    assert told[0].endswith("settles it soonest.")
    assert len(told[0].split()) <= 40


def burst(number: int, rpm: float | None, **more: object) -> Fact:
    """A burst that the ear heard."""
    data = {"start_s": 1.0, "end_s": 5.0, "seconds": 4.0, "by": "ear", "rpm": rpm, "caught": False} | more
    return replace(fact(number, FactKind.BURST_ENDED), data=data)


def test_a_speed_that_the_ear_measured_tells_how_the_engine_turns() -> None:
    """Of a car as it stands; what was counted by tones, spins free or lies between tells nothing."""
    pack = fact(1, FactKind.ITEM_REMOVED, item="jump pack")
    off = fact(3, FactKind.ITEM_REFITTED, item="jump pack")
    assert logged([burst(1, 220.0)]) == ((BY_EAR, "", "normal"),)
    assert logged([burst(1, 90.0)]) == ((BY_EAR, "", "slow"),)
    assert logged([burst(1, 120.0), burst(2, 340.0), burst(3, None), burst(4, 220.0, kind="whine")]) == ()
    assert logged([burst(1, None, by="tones")]) == ()
    assert logged([pack, burst(2, 220.0)]) == logged([burst(2, 220.0)], before=[pack]) == ()
    assert logged([pack, burst(2, 90.0), off, burst(4, 220.0)]) == ((BY_EAR, "", "normal"),)


def test_after_a_measured_speed_the_cranking_speed_is_done_and_what_was_said_of_it_counts_more(
    library: Library, reasoner: Reasoner
) -> None:
    """It was heard at another test: the odds know it, and the plan does not ask for it."""
    adviser = Adviser(reasoner, library)
    room = Room(library, adviser=adviser, leads=True)
    lead(room, library, "no-start/prime")
    room.type("take me to the fault codes")
    lead(room, library, "no-start/speed")
    room.type("@crank 4 rpm=220 caught=no", "stays at zero", "yes")
    assert adviser.evidence["cranking-speed"] == "normal"
    assert all(
        option.again for option in adviser.plan(room.conversation.state).options if option.test == "cranking-speed"
    )
    told = [(BY_EAR, "", "normal"), ("cranking-check", "turn", "slow"), (BY_EAR, "", "normal")]
    assert evidence_from_facts(reasoner.model, told)["cranking-speed"] == "slow"
    assert evidence_from_facts(reasoner.model, told[:1], known=["cranking-speed"]) == {}

"""What the technician says to a plan that leads: elsewhere, to a named test, that it cannot be done."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Library, Mode, fold
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from assistant.session.stays import asked_for
from assistant.session.thoughts import Thoughts
from tests.session.dialogue_player import Leader
from tests.session.led_jobs import SAFE, USUAL, changes, kinds, lead
from tests.session.room import Room


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


def test_the_block_that_was_named_counts_as_asked_for(led: Room, library: Library, reasoner: Reasoner) -> None:
    """From its middle the plan leads nowhere; where it chose the block itself it may."""
    lead(led, library, "no-start/prime")
    thoughts = Thoughts(reasoner, library, led.facts)
    assert not asked_for(library, led.conversation.state, thoughts)
    led.type("take me to the starting fluid", "nothing of the kind", "yes")
    assert led.conversation.state.at.procedure == "fuel-substitute"
    assert asked_for(library, led.conversation.state, Thoughts(reasoner, library, led.facts))


NO_NOSE = "That ends the spark check, since you said: nose is blocked."


def test_a_named_test_that_ends_without_a_result_says_why(led: Room, library: Library) -> None:
    """Once, where the plan goes on to another; what was found on the way is no result of it."""
    lead(led, library, "no-start/prime")
    led.type("take me to the spark check")
    Leader(led, library, USUAL).until("spark-check/sniff")
    turns = led.type("nose is blocked", "yes")
    said = [text for turn in turns for text in turn["said"]]
    assert said.count(NO_NOSE) == 1
    assert said.index(NO_NOSE) < next(place for place, text in enumerate(said) if text.startswith("Next "))
    assert fold(library, led.facts) == led.conversation.state


def test_a_named_test_with_a_result_ends_in_silence(led: Room, library: Library) -> None:
    """What was seen is told by itself; so is it where the plan led there."""
    lead(led, library, "no-start/prime")
    led.type("take me to the cranking check")
    on = Leader(led, library, USUAL)
    while led.conversation.state.at.procedure == "cranking-check":
        on.next_line()
    assert not [text for line in led.trace for text in line["said"] if text.startswith("That ends ")]


def test_fuel_that_was_filled_in_is_cranked_on(led: Room, library: Library) -> None:
    """Five litres prove nothing by themselves; the plan asks no other question between can and key."""
    empty = {"no-start/fuel-level": "gauge on empty"}
    Leader(led, library, USUAL | empty).until("no-start/fuel-crank")
    assert led.conversation.state.at.step == "fuel-crank"


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
    assert (turn["step"], turn["mode"]) == ("diesel", "closing")
    assert "The finding. It is a diesel. This guide is for petrol alone." in turn["said"]
    assert room.conversation.state.vehicle["fuel"] == "diesel"
    assert fold(library, room.facts) == room.conversation.state
    found = [fact for fact in room.facts if fact.kind is FactKind.FINDING_REACHED][-1]
    assert found.data.get("odds") is None
    for words in ("what do you think", "why", "what next", "what is left to test"):
        (turn,) = room.type(words)
        assert turn["said"][0] == "My odds and tests are for petrol alone.", words
    (again,) = room.type("change fuel to diesel")
    assert again["said"][0] == "Diesel is noted already."


@pytest.mark.parametrize("words", ["it has orange cables", "It's a hybrid", "there are orange cables"])
def test_a_late_hybrid_leaves_the_work_for_who_may_touch_it(library: Library, reasoner: Reasoner, words: str) -> None:
    """Orange cables seen under the hood after "ordinary car": nothing more is led to, and once is enough."""
    room = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead(room, library, SAFE)
    (turn, *_) = room.type(words)
    assert turn["said"][:2] == [
        "A hybrid. Hands off anything orange.",
        "What I know was for a car without high voltage.",
    ]
    assert (turn["step"], turn["mode"]) == ("high-voltage", "closing")
    assert room.conversation.state.vehicle["hybrid"] == "yes" and fold(library, room.facts) == room.conversation.state
    (again,) = room.type("it is a hybrid after all")
    assert again["said"][0] == "It is noted already that it is a hybrid."
    assert room.type("repair done")[0]["said"][0] == "There is nothing to say repair done to now."


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


@pytest.mark.parametrize(
    ("name", "block"),
    [
        ("cranking speed", "cranking"),
        ("leak check", "visual"),
        ("sound of the fuel pump", "prime"),
        ("security lamp", "security"),
    ],
)
def test_take_me_to_knows_the_names_that_we_speak_of_tests_by(led: Room, name: str, block: str) -> None:
    """What is said after "next" is heard after "take me to", and leads to the block that holds it."""
    (turn, *_) = led.type(f"take me to the {name}")
    assert turn["command"] == f"take me to {block}"
    assert turn["said"][0] in (f"To the {name}.", "You are there.") or block in turn["said"][0]


def test_each_name_of_a_test_leads_to_one_place(led: Room, reasoner: Reasoner, library: Library) -> None:
    """No name stands for two blocks, and every test that a block holds has one, but where nobody could say it."""
    places = Adviser(reasoner, library).leader.places()
    every = [name for names in places.values() for name in names]
    assert len(every) == len(set(every)) > len(places)
    assert {"question when it fails", "leak check", "cranking speed"} <= {*every}

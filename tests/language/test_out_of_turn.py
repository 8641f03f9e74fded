"""What is told out of turn, by what the step asks: its own answers come first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.language.dangers import WRONG_FUEL, tells_the_wrong_fuel
from assistant.language.model import Control, GiveResult, Heard, TellTest
from assistant.language.out_of_turn import aired, alarm, danger, fuel_outside, wrong_fuel
from assistant.language.understand import understand
from tests.language.told import TOLD


def test_where_no_stop_is_listened_for_who_is_hurt_gives_none():
    """What cannot be obeyed is no command."""
    assert alarm("my hand is stuck", replace(TOLD, controls=frozenset())) is None


def test_the_wrong_fuel_as_an_answer_is_told_only_where_a_test_shows_it():
    """Where the words are an answer of the step they are that; all other words tell it of the car."""
    asked = replace(TOLD, results={"wrong": (WRONG_FUEL,), "right": ("fuel is right",)}, supposed={})
    assert wrong_fuel(WRONG_FUEL, asked) is None
    assert wrong_fuel("we misfuelled it", asked).makes == ("wrong-fuel",)
    assert wrong_fuel(WRONG_FUEL, replace(asked, supposed=TOLD.supposed)).test == "fuel-level"
    assert understand(Heard(words=WRONG_FUEL, confidence=1.0), asked) == GiveResult(result="wrong", words=WRONG_FUEL)


def test_the_wrong_fuel_is_the_answer_where_people_are_known_to_answer_so():
    """Far before all other answers; "petrol went into it" beside another answer stays told."""
    asked = replace(
        TOLD,
        results={"other": (WRONG_FUEL,), "some": ("plenty in it",)},
        answers={"some": "half full | plenty"},
        examples={"other": ("somebody put diesel in it", "he put diesel in a petrol"), "some": ("half a tank",)},
    )
    assert wrong_fuel("some fool put diesel in a petrol", asked) == GiveResult(
        result="other", words=WRONG_FUEL, guessed=True
    )
    assert isinstance(wrong_fuel("half full but we misfuelled it", asked), TellTest)


SMELLING = replace(TOLD, results={"wet": ("it is wet",)}, examples={"wet": ("soaked", "stinks of petrol")})
LEAKING = replace(TOLD, results={"leak": ("hose drips", "fuel is leaking"), "dry": ("it is dry",)})


@pytest.mark.parametrize(
    ("words", "now", "unasked", "asked_for"),
    [
        ("i smell petrol", SMELLING, None, "smell"),
        ("i smell petrol", LEAKING, "smell", "smell"),
        ("the hose is leaking fuel", LEAKING, None, "leak"),
        ("the hose is leaking fuel", SMELLING, "leak", "leak"),
        ("the plug is dry", LEAKING, None, None),
    ],
)
def test_a_danger_that_a_step_asks_about_waits_for_its_answers(words, now, unasked, asked_for):
    """One way to tell of it among many is enough; asked for, it is told all the same."""
    for told, result in ((danger(words, now), unasked), (danger(words, now, asked=True), asked_for)):
        assert (told.result if told else None) == result
    inside = f"it hums and {words} too"
    beside = fuel_outside(inside, now)
    assert (beside.result if beside else None) == unasked


def test_somewhere_something_leaks_is_of_fuel_but_where_the_step_asks_about_leaks():
    """And the air that has cleared is told unasked alone."""
    assert fuel_outside("it hums and it leaks", SMELLING).result == "leak"
    assert fuel_outside("it hums and it leaks", LEAKING) is None and fuel_outside("it hums", SMELLING) is None
    clean = replace(TOLD, examples={"clean": ("nothing there", "the air is clear"), "bad": ("still bad",)})
    assert aired("the fumes are gone", clean) is None and aired("the fumes are gone", LEAKING) is not None


@pytest.mark.parametrize(
    "words", ["somebody filled it with petrol", "there is unleaded in the tank", "it has petrol in it"]
)
def test_petrol_is_the_wrong_fuel_in_a_diesel(words):
    """Only there; what is denied went in nowhere."""
    assert tells_the_wrong_fuel(words, "diesel") and not tells_the_wrong_fuel(words, "petrol")
    assert not tells_the_wrong_fuel("there is no petrol in it", "diesel") and not tells_the_wrong_fuel(words)


METER = "Red lead to the plus post, black lead to the small terminal of the starter. Hold the lowest."


@pytest.mark.parametrize("words", ["leads are on", "the leads are connected", "both leads are on"])
def test_the_leads_of_the_meter_are_no_jump_leads(words):
    """Where the instruction is to put them on; elsewhere bare leads that are on are those of a pack."""
    clipping = replace(TOLD, work=METER, controls=TOLD.controls | {Control.DONE})
    told = understand(Heard(words=words, confidence=1.0), clipping)
    assert not isinstance(told, TellTest)
    elsewhere = understand(Heard(words="leads are on", confidence=1.0), TOLD)
    assert elsewhere.makes == ("pack-on",)


@pytest.mark.parametrize("words", ["the jump leads are on", "the pack is on", "the charger is still on"])
def test_a_pack_that_is_on_is_told_whatever_the_instruction_is_about(words):
    """It is a danger at the meter's leads as well."""
    told = understand(Heard(words=words, confidence=1.0), replace(TOLD, work=METER))
    assert told.makes == ("pack-on",)

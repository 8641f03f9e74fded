"""A gate is passed by its own question as a statement, and by nothing that the question does not ask."""

from __future__ import annotations

import pytest

from assistant.procedure.affirmed import SAID_BESIDES, affirmed, names_its_state, passes
from assistant.procedure.model import Gate


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("Are the wheels chocked?", ("wheels are chocked", "the wheels are chocked")),
        ("Switch off, and take the key out. Is the key out?", ("key is out", "the key is out")),
        ("Is every coil unplugged?", ("every coil is unplugged",)),
        (
            "Is the pump or the injector supply off?",
            ("pump is off", "the pump is off", "injector supply is off", "the injector supply is off"),
        ),
        (
            "Is the selector in park, or the gearbox in neutral?",
            (
                *("selector is in park", "the selector is in park", "it is in park"),
                *("gearbox is in neutral", "the gearbox is in neutral", "it is in neutral"),
            ),
        ),
    ],
)
def test_a_question_is_turned_into_what_affirms_it(asked: str, said: tuple[str, ...]) -> None:
    """The last question, with and without its article; of an "or" either half."""
    assert affirmed(asked) == said


@pytest.mark.parametrize(
    "asked", ["Is it down?", "Is the cap on again, are all leads home?", "Wipe up.", "Does the pump hum?", ""]
)
def test_what_is_no_such_question_gives_nothing(asked: str) -> None:
    """Of two things in one, of what was named before, and of an order nothing is made up."""
    assert affirmed(asked) == ()


def gate(say: str, *acknowledge: str) -> Gate:
    return Gate(id="gate", say=say, acknowledge=acknowledge)


def test_it_is_passed_as_most_say_it() -> None:
    """Its phrases first, drawn together and with their article; a state of one word never stands with "it"."""
    said = passes(gate("Is the selector in park, or the gearbox in neutral?", "it is in park"))
    assert said[0] == "it is in park" and {"it's in park", "it's in neutral"} <= {*said}
    assert not any(words.startswith(("it ", "it's")) for words in passes(gate("Is the key out?", "key is out")))


def test_no_statement_denies_or_asks() -> None:
    """Nothing made by rule holds a denial, or the question as it was asked."""
    for said in passes(gate("Are the wheels chocked?", "wheels are blocked")):
        assert "not" not in said and not said.startswith(("are ", "is "))


def test_what_stands_in_many_files_is_passed_as_technicians_say_it() -> None:
    """By its id; nothing in it denies by one sound, and a state of one word never stands with "it"."""
    said = passes(Gate(id="brake-set", say="Is the parking brake set?", acknowledge=("brake is set",)))
    assert {"brake is on", "the brake is on"} <= {*said}
    assert "brake is on" not in passes(gate("Is the parking brake set?", "brake is set"))
    every = [words for each in SAID_BESIDES.values() for words in each]
    assert not [words for words in every if "can't" in words or "cannot" in words or words.startswith("it is ")]


def test_a_gate_that_nobody_can_answer_in_its_own_words_is_found() -> None:
    """A question for a state that no phrase names."""
    assert names_its_state(gate("Is it down?", "pressure is down"))
    assert not names_its_state(gate("Is it down?", "gauge shows nothing"))

"""Facts of the car among words that are not understood."""

import pytest

from assistant.guide import expected
from assistant.language.model import GiveFacts, Heard
from assistant.language.understand import understand
from assistant.session.understood import StepWords
from assistant.wiring import load_libraries, shipped_procedures
from tests.guide.test_told_before import Talk

LIBRARY = load_libraries(tuple(shipped_procedures()))[1]


def _at_fuel():
    return Talk(LIBRARY, "understood", "no start", "nothing", "overnight")


def _told(words):
    made = understand(Heard(words=words, confidence=1.0, free_text=words), expected(LIBRARY, _at_fuel().state))
    return {each.fact: each.value for each in made.facts} if isinstance(made, GiveFacts) else None


ALL = {"fuel": "petrol", "cylinders": "4", "ignition": "coil-on-plug", "hybrid": "no"}


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        ("petrol four cylinder coil on plug ordinary car, it cut out on the motorway and was washed yesterday", ALL),
        ("grey hatchback petrol four cylinder", {"fuel": "petrol", "cylinders": "4"}),
        (
            "petrol, not a hybrid, four cylinder and it smells funny inside",
            {"fuel": "petrol", "hybrid": "no", "cylinders": "4"},
        ),
        ("it has four wheels, petrol, coil on plug", {"fuel": "petrol", "ignition": "coil-on-plug"}),
    ],
)
def test_what_is_understood_is_taken_from_a_breath(words, facts):
    """An odd word loses none of it, and adds nothing."""
    assert _told(words) == facts


@pytest.mark.parametrize(
    "words",
    [
        "petrol four cylinder but the book says it isn't coil on plug",
        "petrol four cylinder, my brother never told me about a hybrid badge",
        "petrol or whatever it is, four cylinder",
        "petrol four cylinder, hang on, wait, six cylinder",
        "used to be petrol, four cylinder van",
        "maybe petrol, four cylinder blah",
        "petrol and it has four wheels",
        "petrol blah it cranks normal",
        "no idea blah petrol four cylinder",
    ],
)
def test_nothing_is_taken_where_a_word_may_deny_doubt_or_correct(words):
    """A "not" that was not understood is never dropped."""
    assert _told(words) is None


def test_what_was_taken_is_read_back_and_the_rest_is_asked_for():
    """It is kept after the yes alone, and what is still open is asked."""
    talk = _at_fuel().say("petrol four cylinder, washed on tuesday")
    assert "The rest I did not get" in talk.words
    assert "petrol and four cylinders" in talk.words
    assert "fuel" not in talk.state.vehicle
    talk.say("yes")
    assert (talk.state.vehicle["fuel"], talk.state.vehicle["cylinders"]) == ("petrol", "4")
    assert talk.state.at.step == "drive"


def test_outside_a_job_the_step_s_own_fact_is_its_answer():
    """Taken where all was understood, offered where it was told among other words."""
    drive = StepWords(LIBRARY, "vehicle-facts", "drive")
    assert drive.of("petrol hybrid")["result"] == "yes"
    assert drive.of("yep petrol with a high voltage pack in the back")["offer"] == "yes"

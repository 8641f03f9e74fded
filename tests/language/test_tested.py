"""A test that was done is asked for what it showed."""

import pytest

from assistant.language.model import Expected, Heard, TellTest, Unclear
from assistant.language.understand import understand

NOW = Expected(
    controls=frozenset(),
    results={"yes": ("it hums",), "no": ("it is silent",)},
    questions=True,
    supposed={
        "spark-check=present": ("spark is present",),
        "spark-check=none": ("there is no spark",),
        "fuel-pressure=good": ("fuel pressure is good",),
        "pressure-hold=holds": ("fuel pressure holds",),
    },
    tests={
        "spark-check": "spark check",
        "fuel-pressure": "fuel pressure",
        "pressure-hold": "hold of the fuel pressure",
    },
)


def _told(words, now=NOW):
    return understand(Heard(words=words, confidence=1.0, free_text=words), now)


@pytest.mark.parametrize(
    "words",
    [
        "I've done the spark test already",
        "I did the spark check",
        "the spark test was done",
        "we already checked the spark",
        "the spark check's been done twice",
        "my mate tested the spark yesterday",
    ],
)
def test_a_test_that_was_done_is_asked_for_its_result(words):
    """By the results of that very test, each as it may be told; nothing is kept."""
    made = _told(words)
    assert isinstance(made, Unclear)
    assert made.offer is None
    assert "spark check" in made.detail
    assert "I found spark is present or I found there is no spark" in made.detail.replace("i found", "I found")


def test_at_an_instruction_the_work_itself_is_done_and_no_test_of_it():
    """ "I've checked the spark" to "check the spark" is its end, not an old test."""
    work = Expected(controls=frozenset(), work="Check the spark now.", **{"tests": NOW.tests, "supposed": NOW.supposed})
    made = _told("I've checked the spark already", work)
    assert not isinstance(made, Unclear) or "show" not in made.detail
    other = Expected(controls=frozenset(), work="Put on gloves.", **{"tests": NOW.tests, "supposed": NOW.supposed})
    assert "show" in _told("I've checked the spark already", other).detail


def test_what_it_shows_is_then_a_told_test():
    """As it was asked for."""
    made = _told("i found there is no spark")
    assert made == TellTest(test="spark-check", result="none", words="there is no spark")


def test_the_nearest_name_counts():
    """Fuel pressure is no hold of it."""
    made = _told("I have done the fuel pressure")
    assert isinstance(made, Unclear)
    assert "fuel pressure is good" in made.detail


@pytest.mark.parametrize("words", ["a test was done", "I've done that test already", "tests were done before"])
def test_a_test_without_its_name_is_asked_for(words):
    """Which one, and what it showed."""
    made = _told(words)
    assert isinstance(made, Unclear)
    assert "Which test" in made.detail


@pytest.mark.parametrize(
    "words", ["I haven't done the spark test yet", "the spark test was never done", "it hums", "I did the dishes"]
)
def test_what_was_not_done_is_asked_for_nothing(words):
    """Nor is what is no test."""
    made = _told(words)
    assert not isinstance(made, Unclear) or "show" not in made.detail

"""Questions about a figure, a tool, what was told before and why: true answers from step, record and odds."""

from __future__ import annotations

import pytest

from assistant.guide import Library
from tests.session.room import Room

TO_THE_VOLTS = (
    "eyes are covered",
    "sound case",
    "yes",
    "key is out",
    "tight and clean",
    "yes",
    "stood for hours",
    "yes",
)


@pytest.fixture
def battery(library: Library) -> Room:
    """At the question for the volts at rest."""
    return at_the_volts(library)


def at_the_volts(library: Library, **own: float) -> Room:
    """`own`: limits of the vehicle's own."""
    room = Room(library, "battery-state", own)
    room.type(*TO_THE_VOLTS)
    assert (room.trace[-1]["step"], room.trace[-1]["mode"]) == ("rest-volts", "asking")
    return room


def said(room: Room, *words: str) -> str:
    """What is answered to the last of these."""
    return " ".join(room.type(*words)[-1]["said"])


@pytest.mark.parametrize(
    "asked", ["how much should it be?", "what should it read", "what's normal?", "is that normal?"]
)
def test_the_limits_of_the_reading_are_told_as_the_procedure_has_them(battery: Room, asked: str) -> None:
    """Each band with what it tells; nothing is kept, and nothing moves. Limits: the procedure's own, by its source."""
    before, facts = battery.conversation.state, battery.facts
    told = said(battery, asked)
    assert "Twelve point four volts or more: three quarters charged or better." in told
    assert "vehicle maker's own figure comes first" in told
    assert battery.conversation.state == before and battery.facts == facts


def test_a_limit_of_the_vehicles_own_takes_the_place_of_ours(library: Library) -> None:
    """As the reading will be judged."""
    room = at_the_volts(library, **{"rest-good": 12.5})
    assert "Twelve point five volts or more" in said(room, "how many volts should it be")


def test_where_no_figure_is_asked_none_is_made_up(library: Library) -> None:
    """It says that no figure decides there."""
    room = Room(library, "battery-state")
    assert "No figure decides here" in said(room, "is that normal")


def test_what_was_measured_is_read_alone(battery: Room) -> None:
    """The thing that is named, and no more of the record; struck it is gone, and what was never told is not made up."""
    assert "Nothing in the record names that" in said(battery, "what was the voltage")
    battery.type("12.3 volts", "yes")
    for asked in ("what did I say for the battery voltage", "what was my last reading", "what was that voltage again?"):
        told = said(battery, asked)
        assert "Battery at rest: twelve point three volts" in told and "Job" not in told
    told = said(battery, "what did I say about the case")
    assert "Is it sound? sound case." in told and "volts" not in told
    assert "Battery at rest: twelve point three volts, half" in said(battery, "is that normal?")


def test_what_is_needed_is_what_the_part_names(battery: Room) -> None:
    """Its tools, as they stand in its file."""
    for asked in ("what do I need for it?", "what tools do I need", "which meter do I use"):
        told = said(battery, asked)
        assert told.startswith("For this part: digital voltmeter and safety glasses."), asked


def test_why_that_test_is_answered_by_what_it_tells_apart(room: Room) -> None:
    """The test of the step, not the likeliest fault; a bare why is still answered by the findings."""
    room.type("done", "it will not start", "nothing changed")
    of_step, bare = said(room, "why that test?"), said(room, "why")
    assert of_step != bare
    assert of_step.startswith(("The ", "This is part of the "))


def test_what_is_supposed_may_be_said_as_people_say_it(room: Room) -> None:
    """The same answer as to the phrase that is listened for; what no test shows is told how to be asked."""
    room.type("done", "it will not start", "nothing changed")
    plain = said(room, "what if there is no spark")
    for asked in (
        "and if there's no spark, then what?",
        "what if it's got no spark",
        "suppose there's no spark",
        "say there's no spark, what then",
        "what happens if it doesn't have any spark",
    ):
        assert said(room, asked) == plain, asked
    assert "After what if" in said(room, "what if the moon is full")


def test_what_it_cannot_do_is_told(room: Room) -> None:
    """It keeps no timer of the technician's, and takes the wish for none for no other order."""
    room.type("done", "it will not start", "nothing changed")
    for asked in (
        "remind me in ten minutes",
        "set a timer for five minutes",
        "give us a shout in a quarter of an hour",
    ):
        told = said(room, asked)
        assert told.startswith("I keep no timer of yours"), asked

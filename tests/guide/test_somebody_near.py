"""Somebody under the car, at the fan or leaning in: nothing turns or sparks before it is said that all are clear."""

from __future__ import annotations

import pytest

from assistant.bay import folded
from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.procedure.condition import C
from tests.guide.job import TO_CRANK, Job

NEAR = (
    "my mate's under the car",
    "somebody is at the fan",
    "hang on, the kid's leaning in",
    "the customer is leaning over the wing",
    "wait my apprentice is near the belts",
    "I'm under the car",
    "there is a child in front of it",
    "he's got his arm in the engine bay",
    "my hand is in the belt",
)


@pytest.mark.parametrize("words", NEAR)
def test_it_stops_and_is_asked_before_the_starter_turns(words: str) -> None:
    """It held until "resume", and the starter was counted in."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", words)
    assert job.state.mode is Mode.HELD and C.SOMEBODY_NEAR in job.state.bay.conditions
    assert "Nothing turns or sparks while somebody is there." in job.said
    job.say("resume")
    assert job.state.mode is Mode.GATING and job.said.endswith("Is everybody clear? Say: everybody is clear.")
    for plea in ("area is clear", "yes", "ready", "done", "skip", "resume", "nobody knows"):
        job.say(plea)
        assert job.state.mode is not Mode.TIMING and C.SOMEBODY_NEAR in job.state.bay.conditions, plea
    assert [fact.kind for fact in job.facts].count(FactKind.BURST_ENDED) == 0


@pytest.mark.parametrize(
    "words", ["everybody is clear", "everyone's clear", "he's clear", "they're clear", "nobody is near"]
)
def test_it_goes_on_once_it_is_said_that_all_are_clear(words: str) -> None:
    """By the phrase of its question, in any of its ways."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", NEAR[0], "resume", words)
    assert C.SOMEBODY_NEAR not in job.state.bay.conditions
    assert folded(job.facts) == job.state.bay


@pytest.mark.parametrize("words", ["okay he's out from under it", "the kid is clear now", "he's gone", "all clear"])
def test_it_may_be_told_while_on_hold_too(words: str) -> None:
    """It stays on hold, and nobody is asked again."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", NEAR[0], words)
    assert job.state.mode is Mode.HELD and C.SOMEBODY_NEAR not in job.state.bay.conditions
    assert "everybody is clear" in job.said and "everybody is clear" not in job.say("resume").said


@pytest.mark.parametrize(
    "words", ["he is not clear", "is he clear", "he will be clear", "almost clear", "he's out of petrol"]
)
def test_what_is_only_like_it_clears_nothing(words: str) -> None:
    """A guess opens no hazard."""
    job = Job(*TO_CRANK, "area is clear", "brake is set", "ready", NEAR[0], words)
    assert C.SOMEBODY_NEAR in job.state.bay.conditions


def test_it_is_said_again_where_the_step_at_hand_may_go_on() -> None:
    """At a step that turns nothing the word to go on is answered by it once more."""
    job = Job(NEAR[0], "resume")
    assert job.state.mode is not Mode.HELD and "Nothing turns or sparks while somebody is there." in job.said
    assert C.SOMEBODY_NEAR in job.state.bay.conditions


@pytest.mark.parametrize(
    "words",
    ["she is in the bay", "nobody is under the car", "there is nobody near the fan", "he said it died behind the shop"],
)
def test_the_car_itself_and_nobody_are_no_one(words: str) -> None:
    """No question is asked for those."""
    assert C.SOMEBODY_NEAR not in Job(words).state.bay.conditions

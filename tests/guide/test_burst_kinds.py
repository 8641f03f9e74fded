"""What the ear tells of a starter that turns no engine, or an engine lightly or unevenly, is said and offered."""

from dataclasses import replace

import pytest

from assistant.facts import FactKind
from assistant.guide.proposal import propose
from assistant.guide.timing import burst_words
from assistant.language.model import BurstHeard
from assistant.procedure.model import Kind, Result, Step
from tests.guide.job import LIBRARY, TO_CRANK, Job


def crank_step(*ids: str) -> Step:
    """A crank step that asks for these results."""
    step = next(one for procedure in LIBRARY.values() for one in procedure.steps if one.kind is Kind.CRANK)
    return replace(step, results=tuple(replace(step.results[0], id=one) for one in ids))


def offered(heard: BurstHeard, *ids: str) -> str | None:
    result: Result | None = propose(crank_step(*ids), heard)
    return None if result is None else result.id


@pytest.mark.parametrize("kind", ["whine", "chatter"])
def test_a_starter_that_turns_nothing_offers_that_the_engine_did_not_turn(kind):
    """Where that may be answered, and never that it turned, ran or was dead, nor that there was no spark."""
    heard = BurstHeard(seconds=2.0, caught=False, kind=kind)
    assert offered(heard, "normal", "slow", "light", "none", "started") == "none"
    assert offered(heard, "turned", "slow", "still") == "still"
    assert offered(heard, "click", "silent", "unclear") == "click"
    assert offered(heard, "present", "weak", "none", "unseen") is None
    assert offered(heard, "runs", "dead") is None


def test_an_engine_that_turns_lightly_is_offered_as_light_or_as_what_came_of_it():
    """Light is one of the answers at some steps only."""
    heard = BurstHeard(seconds=5.0, caught=False, kind="light")
    assert offered(heard, "normal", "slow", "light", "none") == "light"
    assert offered(heard, "runs", "dead") == "dead"


def test_what_it_sounded_like_is_said():
    """In plain words, with about which stroke is weak where the cylinders are known."""
    spun = BurstHeard(seconds=2.0, caught=False, kind="whine")
    assert burst_words(spun) == "Two seconds, by the sound the starter spun easily and may not have turned the engine."
    assert "only chattered" in burst_words(replace(spun, kind="chatter"))
    assert "light and even" in burst_words(replace(spun, kind="light"))
    weak = BurstHeard(seconds=5.0, rpm=200.0, caught=False, uneven=0.5)
    assert "uneven, about every fourth stroke" in burst_words(weak, "4")
    assert burst_words(weak).endswith("uneven.")
    assert "uneven" not in burst_words(replace(weak, uneven=0.2), "4")


def test_it_is_kept_with_the_burst_and_contradicts_the_word_of_nobody():
    """The fact holds the kind; where no answer of the step fits, the technician's word is simply taken."""
    job = Job(*TO_CRANK, "area is clear", "brake is set")
    job.act(BurstHeard(seconds=2.0, caught=False, kind="whine"))
    [fact] = [one for one in job.facts if one.kind is FactKind.BURST_ENDED]
    assert fact.data["kind"] == "whine"
    assert "may not have turned the engine" in job.said
    job.act(BurstHeard(seconds=2.0, caught=False))

"""Who says that the vapour is gone is led to the five minutes and to the question of the smell, and clears nothing."""

from __future__ import annotations

import pytest

from assistant.guide import Mode
from assistant.language.model import TellTest
from assistant.procedure.condition import VAPOUR_CLEARS_S, Condition
from tests.guide.job import Job

LEAK = TellTest(test="leak-check", result="leak", words="there is a leak", makes=("leak", "vapour"))


def leaking() -> Job:
    return Job("done").act(LEAK)


def test_the_word_leads_through_what_feeds_the_vapour_to_wait_and_smell() -> None:
    """Leak mended, five minutes, then the phrase of the smell; until the wait is over vapour counts as about."""
    job = leaking().say("the air is clear now")
    assert Condition.VAPOUR in job.state.bay.conditions
    for words in ("key is out", "no flame near", "leak is mended"):
        job.say(words)
    assert job.state.mode is Mode.WAITING
    assert Condition.VAPOUR in job.state.bay.conditions
    assert job.say("it has aired").turn.refused == "Only the five minutes clear it."
    job.wait(VAPOUR_CLEARS_S)
    assert job.state.mode is Mode.GATING
    assert "Is the air free of fuel smell?" in job.said
    assert job.say("yes").turn.refused
    job.say("nothing to smell")
    assert job.state.mode is Mode.ASKING
    assert not job.state.airing
    assert Condition.VAPOUR not in job.state.bay.conditions


def test_smelt_again_it_waits_for_the_phrase() -> None:
    """A no to the smell leaves the step shut."""
    job = leaking()
    for words in ("nothing smells any more", "key is out", "no flame near", "leak is mended"):
        job.say(words)
    job.wait(VAPOUR_CLEARS_S)
    assert job.say("no").turn.refused
    assert job.state.mode is Mode.GATING


@pytest.mark.parametrize("words", ["the air is clear now", "it has aired", "nothing smells any more", "no smell left"])
def test_without_vapour_there_is_nothing_to_clear(words: str) -> None:
    """It is said, and nothing changes."""
    job = Job("done")
    before = job.state
    assert job.say(words).turn.refused == "I know of no vapour here."
    assert job.state == before

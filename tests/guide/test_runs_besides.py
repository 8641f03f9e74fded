"""Asked only whether the engine turns, somebody sees it start: it runs, and nobody is told to rest the starter."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, advance, fold
from assistant.language.model import BurstHeard, BurstStarted
from assistant.language.runs_now import says_it_fires
from assistant.procedure.condition import C
from tests.guide.conftest import read_library
from tests.guide.led import Led

LIBRARY = read_library()
SWITCH_OFF = "Switch the engine off. Does it stand still?"


def at_neutral():
    """The starter is to be turned in neutral."""
    return Led(LIBRARY, "no-crank", {"dash": "stay bright"}).until("neutral", mode=Mode.POISED)


def yes(job):
    while job.state.mode is Mode.CONFIRMING:
        job.say("yes")
    return job


@pytest.mark.parametrize("words", ["spins and fires in neutral", "it turns and starts in neutral"])
def test_words_that_say_so_are_heard(words):
    """The step has no answer for it; the engine is switched off before the selector is moved back."""
    job = at_neutral().say("ready")
    while job.state.mode is Mode.TIMING:
        job.step_on()
    yes(job.say(words))
    told = [fact.data for fact in job.facts if fact.kind is FactKind.TEST_TOLD]
    assert [each["makes"][0] for each in told] == ["engine-runs"] and job.at == "park-again"
    assert SWITCH_OFF in job.words and "rests" not in job.words and job.state.mode is Mode.GATING
    assert fold(LIBRARY, job.facts) == job.state


@pytest.mark.parametrize("caught", [True, False])
def test_the_ear_says_so(caught):
    """Heard to catch and run on, whatever the words; heard to turn alone, the starter rests and that is all."""
    job = at_neutral()
    job.take(advance(LIBRARY, job.state, BurstStarted(ago_s=0.0), 200.0))
    heard = BurstHeard(seconds=2.0, ago_s=0.0, rpm=200.0, caught=caught, run_s=None, confidence=0.99)
    job.take(advance(LIBRARY, job.state, heard, 203.0))
    while job.at == "neutral":
        job.say("turns now" if job.state.mode is not Mode.CONFIRMING else "yes")
    assert (C.ENGINE_RUNS in job.state.bay.conditions) is caught
    assert (SWITCH_OFF in job.words) is caught


@pytest.mark.parametrize(
    "words", ["it spins but does not start", "turns and starts but dies", "the starter runs", "turns fine", "it spins"]
)
def test_what_does_not_say_so(words):
    """It turns, and no more."""
    assert not says_it_fires(words)

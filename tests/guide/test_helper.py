"""Somebody comes to turn the key: it is taken, the helper is told how, and the words fit two people from then on."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, reopen
from assistant.language.manner import Manner
from assistant.procedure.condition import Condition
from tests.guide.led import Led

HERE = "my mate's here, he'll crank it"


def _poised(library, manner=Manner.FULL, ear=False):
    return Led(library, "no-crank", manner=manner, ear=ear).until("dash", mode=Mode.POISED)


@pytest.mark.parametrize("manner", list(Manner))
def test_a_helper_is_taken_and_told_how(library, manner):
    """Nobody turns a key for another without a sign and a way to stop; what is ready is asked of who stands clear."""
    job = _poised(library, manner).say(HERE)
    assert Condition.HELPER in job.state.bay.conditions
    assert "the key turns at my tone alone" in job.words
    assert job.words.endswith("Say ready once your helper is at the key, and you are clear.")
    assert job.turn.facts[0].kind is FactKind.TEST_TOLD


@pytest.mark.parametrize("ear", [False, True])
def test_the_helper_begins_at_the_tone(library, ear):
    """Nobody walks to the key, and no helper begins at a moment of their own, where the ear could listen either."""
    job = _poised(library, ear=ear).say(HERE).say("ready")
    assert job.state.timed.by == "tones"
    assert job.words == "Five seconds to step clear. Your helper begins at the tone."


def test_it_may_be_told_at_a_caution_or_a_question(library):
    """It passes no caution and answers nothing."""
    job = Led(library, "no-crank").until("dash", mode=Mode.CAUTIONING)
    job.say(HERE)
    assert job.state.mode is Mode.CAUTIONING
    assert Condition.HELPER in job.state.bay.conditions


def test_who_is_alone_again_is_led_as_before(library):
    """Told, struck, or after the program ended: then nobody knows who is there."""
    for undo in ("my mate's gone", "strike that"):
        job = _poised(library).say(HERE).say(undo)
        job = job.say("yes") if job.state.mode is Mode.STRIKING else job
        assert Condition.HELPER not in job.state.bay.conditions
        assert job.words.endswith("Say ready, and go to the key.")
    job = _poised(library).say(HERE)
    assert Condition.HELPER not in reopen(library, job.state, 9.0).state.bay.conditions


def test_told_in_the_count_it_stops_the_count(library):
    """Whoever comes to the car while the starter is counted in is in its way."""
    job = _poised(library).say("ready").say(HERE)
    assert job.state.mode is Mode.HELD
    assert Condition.HELPER in job.state.bay.conditions

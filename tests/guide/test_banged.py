"""A bang as it stopped: what tore may bend valves, so it is said when told and before the starter turns, and waits for
nothing."""

import pytest

from assistant.english import sayings
from assistant.guide import Mode
from assistant.language.manner import Manner
from assistant.procedure.condition import Condition
from tests.guide.led import Led
from tests.guide.test_told_before import Talk

BANG = "loud bang on the motorway and it stopped dead"


def _poised(library, *said, manner=Manner.FULL):
    job = Led(library, "no-crank", {"dash": "they stay bright"}, manner=manner).until("dash", mode=Mode.CAUTIONING)
    for each in said:
        job.say(each)
    return job.until("dash", mode=Mode.POISED)


@pytest.mark.parametrize("manner", list(Manner))
def test_told_at_any_time_it_is_said_at_once_and_before_the_starter(library, manner):
    """In every way to speak, and the instruction follows it in the same turn."""
    job = Led(library, "no-crank", manner=manner).until("dash", mode=Mode.CAUTIONING)
    assert sayings.BANG in job.say(BANG).words
    assert Condition.BANGED in job.state.bay.conditions
    assert sayings.BANG in job.until("dash", mode=Mode.POISED).words
    assert job.words.endswith("Say ready, and go to the key.") or manner is not Manner.FULL
    assert "bang" in job.say("say again").words.lower()


def test_nothing_is_said_of_it_where_nobody_heard_one(library):
    """Nor once it was turned by hand."""
    assert sayings.BANG not in _poised(library).words
    job = _poised(library, BANG, "i turned it by hand and it's free")
    assert Condition.BANGED not in job.state.bay.conditions
    assert sayings.BANG not in job.words


def test_the_complaint_and_the_question_tell_it(library):
    """What the customer tells is offered at its question, too, as before."""
    talk = Talk(library, "understood", f"{BANG}, cranks too fast now")
    assert sayings.BANG in talk.words
    talk = Talk(library, "understood", "cranks but will not start", "nothing changed", "a bang then nothing")
    assert talk.logged[-1] == ("how-stopped", "bang")
    assert sayings.BANG in talk.words
    assert Condition.BANGED in talk.state.bay.conditions


def test_kept_for_its_question_it_is_kept_there(library):
    """Told one question early it answers that one, and counts from its yes on."""
    talk = Talk(library, "understood", "cranks but will not start", "a bang then nothing")
    assert "Kept for later." in talk.words
    talk.say("nothing changed").say("yes")
    assert Condition.BANGED in talk.state.bay.conditions


def test_after_the_first_burst_it_is_not_said_again(library):
    """Whatever the starter could break is broken."""
    job = _poised(library, BANG)
    job.until("neutral", mode=Mode.POISED)
    assert sayings.BANG not in job.words


def test_the_bang_of_the_complaint_is_what_is_offered(library):
    """It stopped dead as well, but how is the bang."""
    talk = Talk(library, "understood", BANG, "nothing changed")
    assert "You said: a bang then nothing." in talk.words

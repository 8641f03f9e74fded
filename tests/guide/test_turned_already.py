"""Who has turned the starter already tells what it did in place of "ready", and need not turn it again."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, can_say, expected
from assistant.language.manner import Manner
from assistant.language.model import GiveResult, Heard
from assistant.language.understand import understand
from tests.guide.led import Led


def _poised(library, manner=Manner.FULL, procedure="no-crank", step="dash"):
    return Led(library, procedure, manner=manner).until(step, mode=Mode.POISED)


@pytest.mark.parametrize("manner", list(Manner))
def test_what_it_did_is_taken_after_a_yes(library, manner):
    """It is asked whether it was cranked, and the burst counts by word for the starter's rest."""
    job = _poised(library, manner).say("they stay bright")
    assert job.state.mode is Mode.CONFIRMING
    assert "before the tone" in job.words
    assert [fact.kind for fact in job.turn.facts][:2] == [FactKind.BURST_BEGUN, FactKind.BURST_ENDED]
    job.say("yes")
    assert job.at != "dash"
    logged = [fact for fact in job.facts if fact.kind is FactKind.RESULT_LOGGED]
    assert logged[-1].data["result"] == "bright"
    assert job.state.duty.cranked_s > 0


def test_a_no_leaves_the_starter_to_be_turned(library):
    """Nothing is logged, and it is asked for anew."""
    job = _poised(library).say("they stay bright").say("no")
    assert job.at == "dash"
    assert not [fact for fact in job.facts if fact.kind is FactKind.RESULT_LOGGED]


def test_what_is_only_guessed_is_not_taken_there(library):
    """A guess would keep a burst that nobody had."""
    job = _poised(library)
    before = job.state
    job.say("hmm the radio went off i guess")
    assert (job.state.mode, job.state.duty) == (Mode.POISED, before.duty)
    assert not job.turn.facts


def test_it_is_found_among_other_words(library):
    """A clause of its own is enough; what was not seen, and that it runs on, are no reason to have turned it."""
    job = _poised(library, procedure="starts-then-dies", step="how")
    job.say("it dies within two seconds, tried it ten times")
    assert job.state.mode is Mode.CONFIRMING
    assert job.say("yes").at == "lamp"
    job = _poised(library).say("did that already, bright")
    assert job.state.mode is Mode.CONFIRMING
    for words in ("didn't see", "it might die within two seconds, or later"):
        assert _poised(library, procedure="starts-then-dies", step="how").say(words).state.mode is Mode.POISED


def test_ready_is_still_what_is_waited_for(library):
    """The answers are understood, not offered."""
    job = _poised(library)
    assert "ready" in can_say(library, job.state)
    assert "stay bright" not in can_say(library, job.state)
    assert job.say("ready").state.mode is Mode.TIMING


def test_no_answer_is_taken_before_the_cautions(library):
    """There the phrases of caution and gate alone count."""
    job = Led(library, "no-crank").until("dash", mode=Mode.CAUTIONING)
    told = understand(Heard(words="they stay bright", confidence=1.0), expected(library, job.state))
    assert not isinstance(told, GiveResult)

"""What is told while a caution or a gate is asked is kept for its question: it passes nothing, and waits for a yes."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, fold
from assistant.procedure.condition import Condition
from tests.guide.led import Led

SWITCH_UP = {"crash-switch": "button is up"}


def _cautioned(library):
    return Led(library, "pump-feed", SWITCH_UP).until("reset", mode=Mode.CAUTIONING)


def _logged(job):
    return [fact.data["result"] for fact in job.facts if fact.kind is FactKind.RESULT_LOGGED and fact.step == job.at]


def test_it_is_kept_and_the_caution_asked_on(library):
    """The answer was lost, and whoever gave it was told to say the phrase."""
    job = _cautioned(library).say("the pump hums")
    assert (job.state.mode, job.at) == (Mode.CAUTIONING, "reset")
    assert job.words.startswith("Noted: short hum.")
    assert job.words.endswith("Kept for later. First this. Say: no flame near.")
    job.say("no flame near")
    assert job.state.mode is Mode.GATING
    job.say("all is dry")
    assert job.state.mode is Mode.CONFIRMING and "You said: short hum." in job.words
    assert _logged(job) == [] and Condition.KEY_ON in job.state.bay.conditions
    job.say("yes")
    assert job.at == "reset-crank"
    assert fold(library, job.facts) == job.state


def test_it_is_kept_at_a_gate_too(library):
    """Between the caution and the work."""
    job = _cautioned(library).say("no flame near").say("pump is dead silent")
    assert job.state.mode is Mode.GATING and job.state.ahead == "silent"
    assert "You said: pump is silent." in job.say("all is dry").words


@pytest.mark.parametrize("words", ["yes", "all good", "looks fine", "everything is clear", "no flames", "nothing"])
def test_what_may_be_of_the_caution_is_no_answer(library, words):
    """A bare yes, or what approves of anything, is neither kept nor passes."""
    job = _cautioned(library).say(words)
    assert (job.state.mode, job.state.ahead) == (Mode.CAUTIONING, "")


def test_after_a_no_the_question_is_asked(library):
    """Whatever was said too early."""
    job = _cautioned(library).say("the pump hums").say("no flame near").say("all is dry").say("no")
    assert (job.state.mode, job.state.ahead) == (Mode.ASKING, "")
    assert "Press the button down." in job.words
    assert fold(library, job.facts) == job.state


def test_struck_it_is_not_offered(library):
    """It is the latest that was told."""
    job = _cautioned(library).say("the pump hums").say("strike that").say("yes")
    assert job.state.ahead == ""
    job.say("no flame near").say("all is dry")
    assert job.state.mode is Mode.ASKING


def test_a_danger_told_there_comes_first(library):
    """It is no answer to keep."""
    job = _cautioned(library).say("it hums but fuel is leaking")
    assert Condition.LEAK in job.state.bay.conditions and job.state.ahead == ""


def test_of_a_starter_it_is_to_be_told_once_more(library):
    """Nobody has given the tone: that it turned is said again, and then waits for its yes."""
    job = Led(library, "no-crank").until("dash", mode=Mode.CAUTIONING).say("the lamps go dim")
    assert (job.state.mode, job.state.ahead) == (Mode.CAUTIONING, "dim")
    job.until("dash", mode=Mode.POISED)
    assert "You said: grow dim. If it has turned already, say that again." in job.words
    assert _logged(job) == []
    job.say("grow dim")
    assert job.state.mode is Mode.CONFIRMING and _logged(job) == []

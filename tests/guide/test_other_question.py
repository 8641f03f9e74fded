"""An answer to another question, asked before or still to come, is told apart from one to the present."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.language.manner import Manner
from assistant.wiring import load_libraries, shipped_procedures
from tests.guide.test_told_before import Talk

LIBRARY = load_libraries(tuple(shipped_procedures()))[1]


def _at_fuel():
    return Talk(LIBRARY, "understood", "no start", "nothing", "overnight")


@pytest.mark.parametrize("words", ["cut out at once", "just washed", "it cut out on the motorway"])
def test_an_answer_to_what_was_asked_before_is_said_to_be_one(words):
    """It is no guess at the fuel, and the answer that was given stands until it is struck."""
    talk = _at_fuel()
    before = talk.logged
    talk.say(words)
    assert (talk.state.mode, talk.state.at.step) == (Mode.ASKING, "fuel")
    assert "what I asked before" in talk.words
    assert "strike that" in talk.words
    assert talk.logged == before


def test_at_once_is_not_nobody_knows():
    """It was logged as an unknown fuel, which ended the job."""
    talk = _at_fuel().say("at once")
    assert talk.state.mode is Mode.ASKING
    assert talk.state.pending is None


def _noted(talk):
    return [(fact.data["fact"], fact.data["value"]) for fact in talk.facts if fact.kind is FactKind.VEHICLE_NOTED]


@pytest.mark.parametrize(
    ("words", "fact"),
    [
        ("it's a petrol", ("fuel", "petrol")),
        ("four cylinders", ("cylinders", "4")),
        ("coil on plug", ("ignition", "coil-on-plug")),
    ],
)
def test_a_fact_that_comes_yet_is_kept_after_a_yes(words, fact):
    """It answers nothing here: it is read back, kept, and the present question is asked again."""
    talk = Talk(LIBRARY, "understood", "no start", "nothing").say(words)
    assert (talk.state.at.step, talk.state.mode) == ("how-stopped", Mode.CONFIRMING)
    assert _noted(talk) == []
    talk.say("yes")
    assert _noted(talk) == [fact]
    assert (talk.state.at.step, talk.state.mode) == ("how-stopped", Mode.ASKING)


def test_a_single_word_of_a_fact_that_comes_yet_is_asked_for_there():
    """One word may be of anything."""
    talk = Talk(LIBRARY, "understood", "no start", "nothing").say("petrol")
    assert talk.state.at.step == "how-stopped"
    assert "asked later" in talk.words
    assert _noted(talk) == []


def test_a_diesel_told_early_leads_out_as_one_that_was_asked():
    """Nothing of a petrol engine is asked of it first."""
    talk = Talk(LIBRARY, "understood", "no start", "nothing").say("it's a diesel").say("yes")
    assert _noted(talk) == [("fuel", "diesel")]


def test_an_answer_to_the_present_question_is_one_whatever_was_asked():
    """What both questions know is the present one's."""
    talk = Talk(LIBRARY, "understood", "no start").say("nobody knows").say("nobody knows")
    assert talk.logged[-1] == ("how-stopped", "unknown")


@pytest.mark.parametrize("words", ["it cut out while driving", "cut out at once", "it died while hot", "sputtered out"])
@pytest.mark.parametrize("manner", list(Manner))
def test_what_is_asked_next_and_told_now_is_kept_and_offered_there(words, manner):
    """How it stopped says nothing of what came before: that is asked once more, and then it is offered for a yes."""
    talk = Talk(LIBRARY, "understood", "no start", manner=manner) if manner is Manner.FULL else None
    talk = talk or Talk(LIBRARY, "no start", manner=manner)
    talk.say(words)
    assert (talk.state.at.step, talk.state.mode, talk.logged) == ("changed", Mode.ASKING, [])
    assert "First this." in talk.words
    assert "wash, new key, battery" in talk.words
    talk.say("nothing")
    talk = talk.say("yes") if talk.state.at.step == "changed" else talk
    result = {"hot": "hot", "out": "sputtered"}.get(words.split()[-1], "sudden")
    assert (talk.state.at.step, talk.state.mode) == ("how-stopped", Mode.CONFIRMING)
    assert talk.state.pending.name == result
    assert talk.say("yes").logged[-1] == ("how-stopped", result)


def test_what_was_kept_for_the_next_question_can_be_struck():
    """It then asks as if nothing had been told."""
    talk = Talk(LIBRARY, "understood", "no start", "cut out at once", "strike that", "yes", "nothing", "yes")
    assert (talk.state.at.step, talk.state.mode) == ("how-stopped", Mode.ASKING)


@pytest.mark.parametrize("words", ["nothing it just quit", "it just died", "nothing", "it suddenly cut out"])
def test_that_it_just_quit_still_says_that_nothing_came_before(words):
    """So people answer what came before."""
    talk = Talk(LIBRARY, "understood", "no start", words)
    assert talk.state.pending.name == "nothing" if talk.state.pending else talk.logged == [("changed", "nothing")]

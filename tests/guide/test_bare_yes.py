"""A bare yes or no to a question for one of several things: it is asked again, with what can be chosen."""

import pytest

from assistant.guide import Mode, advance
from assistant.language.manner import Manner
from assistant.language.model import BurstHeard, BurstStarted
from assistant.procedure.asked import is_open
from tests.guide.led import Led

ANY = [
    ("no-start", "reader", "yes"),
    ("battery-state", "stood", "yes"),
    ("battery-state", "case", "yes"),
    ("spark-check", "choice", "no"),
]
READ = {"rest-volts": "twelve point six volts", "crank-volts": "ten point four volts"}


@pytest.mark.parametrize("manner", [Manner.FULL, Manner.BRIEF])
@pytest.mark.parametrize(("procedure", "step", "said"), ANY)
def test_it_is_asked_again_with_its_options(library, procedure, step, said, manner):
    """Nothing is logged or read back, and each answer that can be given is named."""
    job = Led(library, procedure, READ, manner=manner).until(step, mode=Mode.ASKING)
    job.say(said)
    assert (job.at, job.state.mode, job.turn.facts) == (step, Mode.ASKING, ())
    phrases = [each.phrases[0] for each in library[procedure].step(step).results]
    assert all(phrase in job.words for phrase in phrases)


def test_after_an_echo_it_is_told_that_it_stands_and_the_question_comes_again(library):
    """A yes by who is used to read-backs may be meant for what was echoed, or for the question behind it."""
    job = Led(library, "battery-state", manner=Manner.BRIEF).until("posts", mode=Mode.ASKING)
    job.say("tight and clean")
    assert job.state.echoed and job.at == "stood"
    job.say("yes")
    assert job.words == "Noted already. Say stood for hours, driven today or nobody can say."


def test_a_question_with_many_answers_is_told_itself(library):
    """The ear does not keep twelve phrases; the question names what is asked for."""
    job = Led(library, "no-start", manner=Manner.BRIEF).until("changed", mode=Mode.ASKING)
    job.say("yes")
    assert job.words == "Noted already. Lately a wash, new key, battery, new fuel, repair, crash, heat, standing?"


def test_where_a_yes_or_no_is_clear_it_stays_an_answer(library):
    """Of each question that asks for a yes: "is the lamp flashing?", "both tight and clean?"."""
    job = Led(library, "battery-state").until("posts", mode=Mode.ASKING)
    job.say("yes")
    assert job.state.pending is not None and job.state.pending.name == "tight"
    asked = library["boost-battery"].step("means")
    known = {
        words: each.id for each in asked.results for words in (*each.phrases, "no" if each.id == "neither" else "")
    }
    assert not is_open("no", (asked.say,), known.get)


@pytest.mark.parametrize("manner", list(Manner))
def test_a_no_to_what_the_ear_heard_is_asked_again_with_what_can_be_chosen(library, manner):
    """It may deny what sounded so or answer the question: "does it turn?", "it sounded like nothing", "nope"."""
    job = Led(library, "no-crank", {"dash": "stay bright"}, manner=manner, ear=True).until("neutral", mode=Mode.POISED)
    job.say("ready")
    for heard in (BurstStarted(), BurstHeard(seconds=3.0, rpm=0.0, caught=False)):
        job.take(advance(library, job.state, heard, job.state.at_s + 3.0))
    assert job.state.pending.by == "ear"
    job.say("nope")
    assert job.state.mode is Mode.ASKING
    assert job.words.endswith("Say turns now or nothing at all.")


def test_a_no_before_the_very_result_that_was_read_back_is_no_yes(library):
    """ "No, still one click" to "nothing at all": the same result, and it was logged without a yes."""
    job = Led(library, "no-crank", {"dash": "stay bright"}).until("neutral", mode=Mode.POISED).say("ready")
    while job.state.mode is not Mode.ASKING:
        job.step_on()
    job.say("nothing at all")
    assert job.state.mode is Mode.CONFIRMING
    job.say("no, still one click")
    assert (job.state.mode, job.at) == (Mode.CONFIRMING, "neutral")
    assert job.say("yes").at == "lamp"

"""The complaint in one breath, where a part is begun alone and asks for none: kept, heeded, and it answers nothing."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, advance, expected, fold, reopen
from assistant.guide.state import NEW
from assistant.language.manner import Manner
from assistant.language.model import Heard
from assistant.language.understand import understand
from assistant.procedure.condition import Condition
from tests.guide.led import Led

SLOW = "turns over slow as treacle ever since this morning"
DIES = "it starts and dies at once, the key light is flashing"


def _kept(job):
    return [fact for fact in job.facts if fact.kind is FactKind.WORDS_KEPT]


@pytest.mark.parametrize(
    ("procedure", "words"),
    [("slow-crank", SLOW), ("starts-then-dies", DIES), ("parasitic-draw", "the battery is flat every monday morning")],
)
@pytest.mark.parametrize("manner", list(Manner))
def test_it_is_kept_and_what_is_asked_is_asked_once_more(library, procedure, words, manner):
    """At a question, a caution or an instruction; no step is passed by it."""
    job = Led(library, procedure, manner=manner)
    before = job.state
    job.say(words)
    assert [fact.data["words"] for fact in _kept(job)] == [words]
    assert "Kept as the complaint." in job.words
    assert (job.state.mode, job.state.at) == (before.mode, before.at)
    assert fold(library, job.facts, NEW) == job.state


def test_what_only_shares_a_denial_with_a_phrase_is_kept(library):
    """ "It won't roll" passes there, and "it won't turn over" was told how to be said."""
    assert len(_kept(Led(library, "no-crank").say("dead as a doornail, starter won't turn over at all"))) == 1


def test_only_the_first_words_are(library):
    """What comes once something was told is asked about as ever."""
    job = Led(library, "slow-crank").say(SLOW).say("and it sat slow and clicking there last week as well")
    assert len(_kept(job)) == 1
    assert "I did not catch that." in job.words


@pytest.mark.parametrize(
    "words", ["what the hell is this", "slow as treacle", "the selector is in park and the lights are off mate"]
)
def test_what_tells_of_no_car_or_may_pass_a_caution_is_not(library, words):
    """A phrase said otherwise is told how to be said."""
    job = Led(library, "no-crank")
    assert job.state.mode is Mode.CAUTIONING
    assert _kept(job.say(words)) == []
    assert job.state.mode is Mode.CAUTIONING


def test_its_dangers_count(library):
    """As in a complaint that was asked for."""
    job = Led(library, "starts-then-dies").say("it starts and dies and there is petrol dripping from the rail")
    assert Condition.LEAK in job.state.bay.conditions
    job = Led(library, "slow-crank").say("cranks slowly ever since it overheated on the motorway")
    assert Condition.OVERHEATED in job.state.bay.conditions
    assert "Hot parts and coolant scald." in job.words


def test_what_it_told_of_the_lamp_is_offered_there(library):
    """For a yes, as what any complaint told."""
    job = Led(library, "starts-then-dies", {"how": "within two seconds"}).say(DIES)
    job.until("lamp", mode=Mode.CONFIRMING)
    assert "You said: it was flashing." in job.words


def test_struck_it_is_gone_and_nothing_is_asked_anew(library):
    """It is of no step."""
    job = Led(library, "slow-crank").say(SLOW)
    at = job.state.at
    job.say("strike that")
    job = job.say("yes") if job.state.mode is Mode.STRIKING else job
    assert job.state.at == at
    assert job.state.strikable == ()
    assert reopen(library, job.state, 9.0).state.at == at


def test_the_main_job_asks_for_it(library):
    """There it is no first word of something else."""
    job = Led(library, "no-start")
    heard = Heard(words=SLOW, confidence=1.0)
    turn = advance(library, job.state, understand(heard, expected(library, job.state)), 0.0, heard=heard)
    assert FactKind.WORDS_KEPT not in [fact.kind for fact in turn.facts] or turn.state.at.step != job.state.at.step


def test_what_it_may_answer_as_well_is_offered(library):
    """Neither the complaint nor the answer is lost."""
    job = Led(library, "slow-crank").say("turns over slow as treacle this morning, battery stayed up there")
    assert len(_kept(job)) == 1
    assert job.state.mode is Mode.CONFIRMING
    assert job.words.startswith("Kept as the complaint.")
    assert "Did you say battery held?" in job.words


def test_told_before_it_is_asked_for_it_is_what_is_asked_for(library):
    """Many begin with what is wrong: it was not understood, and "understood" was asked for."""
    job = Led(library, "no-start").say("spins over lovely but not a sniff of firing since this morning")
    assert _kept(job)[0].data["words"] == "spins over lovely but not a sniff of firing since this morning"
    assert (job.at, job.state.mode) == ("changed", Mode.ASKING) and "Tell me the complaint" not in job.words
    assert fold(library, job.facts, NEW) == job.state
    job = Led(library, "no-start").say("it cranks but won't start and petrol is dripping from the rail")
    assert Condition.LEAK in job.state.bay.conditions


@pytest.mark.parametrize("words", ["okay", "ok", "got it", "let's go"])
def test_whoever_has_heard_the_rules_says_so_in_a_word(library, words):
    """ "Okay" was not understood."""
    assert Led(library, "no-start").say(words).at == "complaint"


def test_what_it_tells_unasked_is_kept_with_the_whole_of_it(library):
    """Of "bang, it stopped, now it spins too fast" the bang alone was noted."""
    job = Led(library, "no-start").say("loud bang and it stopped dead, now it spins way too fast")
    assert Condition.BANGED in job.state.bay.conditions and job.at == "changed"
    assert len(_kept(job)) == 1 and job.words.count("After a bang") == 1
    assert fold(library, job.facts, NEW) == job.state

"""A repair is checked in the same job: its minutes are kept, and whether the car starts since."""

import pytest

from assistant.facts import FactKind
from assistant.guide import Mode, advance, fold
from assistant.language.model import TimePassed
from tests.guide.led import Led

GOOD = {
    "recheck-start/look": "all is back",
    "recheck-start/first-start": "it started",
    "recheck-start/idle": "smooth and dry",
    "recheck-start/clear-codes": "codes are cleared",
    "recheck-start/second-start": "it started",
    "recheck-start/codes-back": "none came back",
}
EMPTY = {"no-start/fuel-level": "gauge on empty", "no-start/fuel-crank": "it started"}


def found(library, **more):
    """A job whose finding is an empty tank."""
    job = Led(library, "no-start", EMPTY | GOOD | more)
    while not job.state.finding:
        job.step_on()
    assert job.at == "empty-tank"
    return job


def kept(job, kind):
    return [fact for fact in job.facts if fact.kind is kind]


def test_a_repair_that_holds_is_confirmed_by_its_check(library):
    """Started twice, no leak, codes cleared and none back: confirmed for the fault that was found, with its minutes."""
    job = found(library)
    assert "repair done" in job.words
    job.say("repair done")
    assert job.at == "look"
    (done,) = kept(job, FactKind.REPAIR_DONE)
    assert done.data["fault"] == "empty-tank"
    while not job.state.finding:
        job.step_on()
    assert job.state.found == "start-holds"
    (confirmed,) = kept(job, FactKind.REPAIR_CONFIRMED)
    assert (confirmed.data["fault"], confirmed.data["by"]) == ("empty-tank", "recheck")
    assert fold(library, job.facts) == job.state
    job.say("done")
    assert job.state.mode is Mode.ENDED


def test_a_repair_that_fails_is_kept_with_its_minutes(library):
    """By the book the job then stands at that finding; nothing is confirmed, and it may be repaired again."""
    job = found(library)
    job.answers["recheck-start/first-start"] = "never fired"
    job.say("repair done")
    while not job.state.finding:
        job.step_on()
    (failed,) = kept(job, FactKind.REPAIR_FAILED)
    assert failed.data["fault"] == "empty-tank"
    assert failed.data["minutes"] >= 0.0
    assert not kept(job, FactKind.REPAIR_CONFIRMED)
    assert job.state.repaired is None
    assert job.say("repair done").turn.refused is None


def test_codes_that_come_back_leave_it_to_the_technician(library):
    """The start holds, but it is not said that the repair cured all; the word for it confirms the fault repaired."""
    job = found(library)
    job.answers["recheck-start/codes-back"] = "a code came back"
    job.answers["recheck-start/codes"] = "no more codes"
    job.say("repair done")
    while not job.state.finding:
        job.step_on()
    assert job.at == "came-back"
    assert not kept(job, FactKind.REPAIR_CONFIRMED)
    job.say("repair confirmed")
    assert [fact.data["fault"] for fact in kept(job, FactKind.REPAIR_CONFIRMED)] == ["empty-tank"]


@pytest.mark.parametrize(
    ("answers", "at"),
    [
        ({"safety-setup/shop": "cannot make it safe"}, "unsafe"),
        (EMPTY | {"no-start/fuel-level": "diesel went in"}, "wrong-fuel"),
    ],
)
def test_nothing_is_started_where_that_could_hurt(library, answers, at):
    """A place that is not safe has no recheck; the wrong fuel has, behind its own question."""
    job = Led(library, "no-start", answers | GOOD)
    while not job.state.finding:
        job.step_on()
    assert job.at == at
    if at == "wrong-fuel":
        assert job.say("the fuel is flushed").words.startswith("If you mean it, say: repair done.")
    job.say("repair done")
    if at == "unsafe":
        assert not job.turn.facts
        assert job.words.startswith("There is nothing to say repair done to now.")
        return
    job.until("first-start", mode=Mode.POISED)
    assert "fuel is flushed" in job.asked


@pytest.mark.parametrize("words", ["it has died", "it died on me", "it quit", "the engine stalled", "it just cut out"])
def test_an_engine_that_dies_while_it_is_let_idle_ends_the_wait(library, words):
    """Its prompt speaks of dying, and the word for it was not understood: it did not keep running, once it is a yes."""
    job = found(library).say("repair done")
    while job.at != "idle-run" or job.state.mode is not Mode.WAITING:
        job.step_on()
    assert job.say("the radio is on").state.mode is Mode.WAITING
    assert job.say(words).words == "I heard it died. Yes?"
    assert job.state.mode is Mode.CONFIRMING
    job.say("yes")
    assert [fact.data["fault"] for fact in kept(job, FactKind.REPAIR_FAILED)] == ["empty-tank"]
    assert job.at == "not-mended" and fold(library, job.facts) == job.state


@pytest.mark.parametrize("asked_s", [0.0, 20.0, 400.0])
def test_a_wait_that_was_ended_in_error_goes_on(library, asked_s):
    """After its no the question is asked. An engine that runs has idled meanwhile: its five minutes do not begin anew,
    and where they are over by then it is asked at once how it idles."""
    job = found(library).say("repair done")
    while job.at != "idle-run" or job.state.mode is not Mode.WAITING:
        job.step_on()
    over_s = job.state.wait_until_s
    job.say("it died")
    assert "Did it die by itself?" in job.say("no").words or job.at == "idle-died"
    job.take(advance(library, job.state, TimePassed(), job.state.at_s + asked_s))
    job.say("still running")
    while job.state.mode is Mode.CONFIRMING:
        job.say("yes")
    while job.state.mode is Mode.CAUTIONING:
        job.step_on()
    assert (job.at, job.state.mode, job.state.wait_until_s) == ("idle-run", Mode.WAITING, over_s)
    job.take(advance(library, job.state, TimePassed(), max(over_s, job.state.at_s)))
    assert job.at == "idle" and fold(library, job.facts) == job.state


def test_an_engine_that_was_switched_off_is_started_again(library):
    """To idle it for the rest of its five minutes while it stands proves nothing."""
    job = found(library).say("repair done")
    while job.at != "idle-run" or job.state.mode is not Mode.WAITING:
        job.step_on()
    job.say("it died")
    job.say("no")
    job.say("i switched it off")
    while job.state.mode is Mode.CONFIRMING:
        job.say("yes")
    assert job.at == "first-start" and job.state.wait_until_s is None


@pytest.mark.parametrize("cleared", [True, False])
def test_a_reader_that_is_not_there_is_asked_for_once(library, cleared):
    """Who has none cannot read what came back: the second start is told as what it is."""
    job = found(library).say("repair done")
    job.answers |= {"recheck-start/clear-codes": "codes are cleared" if cleared else "no reader here"}
    while job.at not in ("codes-back", "proved", "proved-unread"):
        job.step_on()
    assert job.at == ("codes-back" if cleared else "proved-unread")

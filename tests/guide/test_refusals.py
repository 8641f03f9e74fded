"""What is refused, where and in which words: each refusal leaves the state and the record as they were."""

from dataclasses import replace

import pytest

from assistant.errors import RecordError
from assistant.facts import FactKind
from assistant.guide import Mode, fold
from assistant.guide.places import MissingStep
from assistant.language.commands import Control, When
from assistant.language.model import (
    BY_MACHINE,
    Acknowledge,
    GiveCode,
    GiveControl,
    GiveReading,
    GiveResult,
    KeepPicture,
    TakeTo,
)
from tests.guide.job import LIBRARY, TO_CRANK, Job
from tests.guide.led import Led

CAUTION = (*TO_CRANK,)
GATE = (*TO_CRANK, "area is clear")
POISED = (*GATE, "brake is set")
COUNTING = (*POISED, "ready")
ASKED = ("done",)
READ_BACK = ("done", "all clean")
CLOSING = ("done", "full of dirt", "yes")
DONE = (*CLOSING, "it is put right")

SAID = [
    ((), Control.RESUME, "Nothing is on hold."),
    ((), Control.GO_BACK, "There is no step to go back to."),
    ((), Control.STRIKE, "There is nothing to strike."),
    ((), Control.YES, "There is nothing to say yes to."),
    ((), Control.NO, "There is nothing to say no to."),
    ((), Control.TAKE_TO, "Say where to, by the name of a test."),
    ((), Control.BY_THE_BOOK, "We go by the book already."),
    ((), Control.SAME_CAR, "There is no earlier car to take it for."),
    ((), Control.REPAIR_CONFIRMED, "There is no finding whose repair could be confirmed."),
    ((), Control.REPAIR_DONE, "There is no finding whose repair I could check."),
    ((), Control.PICTURE, None),
    (ASKED, Control.DONE, "There is nothing to mark as done now."),
    (ASKED, Control.SKIP, "The answer to this step decides the way on. Answer it, go back, or end the job."),
    (CAUTION, Control.SKIP, "A caution cannot be skipped."),
    (CAUTION, Control.YES, "A bare yes is not enough."),
    (CAUTION, Control.NO, "I will wait until it is."),
    (CAUTION, Control.READY, None),
    (CAUTION, Control.DONE, "There is nothing to mark as done now."),
    (GATE, Control.SKIP, "A caution cannot be skipped."),
    (GATE, Control.YES, "A bare yes is not enough."),
    (GATE, Control.NO, "I will wait until it is."),
    (GATE, Control.READY, None),
    (COUNTING, Control.SKIP, "Not while I count. Say stop to end it."),
    (COUNTING, Control.STRIKE, "Not while I count. Say stop to end it."),
    (COUNTING, Control.NOTE, "Not now. Finish this first, then say note."),
    (COUNTING, Control.DONE, "There is nothing to mark as done now."),
    (COUNTING, Control.ANOTHER, "Not now. Finish this first."),
    (("done", "pause"), Control.ANOTHER, "Not now. Finish this first."),
    (("done", "end job", "yes"), Control.ANOTHER, "Not now. Finish this first."),
    (CLOSING, Control.ANOTHER, "We go by the book now. Say lead the way first."),
    (ASKED, Control.ANOTHER, "We go by the book now. Say lead the way first."),
    (("lead the way",), Control.LEAD, "I am leading already."),
    (("be brief", "done", "full of dirt", "no"), Control.YES, "That does not tell which."),
    (CLOSING, Control.DONE, "Still to put right: duct."),
    (CLOSING, Control.NO, "Then put it back, or say left off."),
    (CLOSING, Control.SKIP, "There is nothing to skip now."),
    (CLOSING, Control.REPAIR_DONE, "There is no finding whose repair I could check."),
    (DONE, Control.NO, "There is nothing to say no to."),
    (("done", "end job"), Control.END_JOB, "Say yes to end the job, or no to go on."),
    (("done", "end job"), Control.NOTE, "Not now. Finish this first, then say note."),
    ((*TO_CRANK, "strike that"), Control.STRIKE, "Yes or no?"),
]  # fmt: skip


@pytest.mark.parametrize(("to_here", "control", "why"), SAID, ids=lambda each: str(each)[-40:])
def test_a_command_that_means_nothing_here_is_refused_in_its_own_words(to_here, control, why) -> None:
    """Whatever brought it, and nothing of it is kept."""
    job = Job(*to_here)
    before = job.state
    job.act(GiveControl(control=control))
    assert job.turn.refused and job.state == before and not job.turn.facts
    assert why is None or job.turn.refused == why


@pytest.mark.parametrize("control", [each for each in Control if each.row.legal is When.AIDED])
def test_what_only_a_page_does_is_refused_by_the_guide(control) -> None:
    """In words, not by an error."""
    assert Job().act(GiveControl(control=control)).turn.refused


@pytest.mark.parametrize("to_here", [(), ASKED, POISED, CLOSING])
def test_an_acknowledgement_that_nobody_asked_for_passes_nothing(to_here) -> None:
    """Neither before its caution nor after it."""
    job = Job(*to_here)
    before = job.state
    job.act(Acknowledge(words="area is clear"))
    assert job.turn.refused and job.state == before


@pytest.mark.parametrize("words", [CAUTION, GATE, COUNTING, CLOSING])
@pytest.mark.parametrize(
    "told",
    [
        GiveReading(value=12.6, unit="V", words="twelve point six volts"),
        GiveCode(code="P0335", words="p zero three three five"),
        GiveResult(result="jumps", words="it jumps"),
    ],
)
def test_an_answer_that_nobody_asked_for_changes_nothing(words, told) -> None:
    """Least of all before a caution, a gate, or while the starter turns."""
    job = Job(*words)
    before = job.state
    job.act(told)
    assert job.state == before and not job.turn.facts


def test_a_closed_job_takes_nothing_any_more() -> None:
    """Each command is refused, and the state stays."""
    job = Job(*DONE, "done")
    before = job.state
    assert before.mode is Mode.ENDED
    for control in Control:
        job.act(GiveControl(control=control))
        assert job.turn.refused and job.state == before


def test_a_fact_that_cannot_follow_is_a_broken_record() -> None:
    """The fold says which fact and why; no state comes of it."""
    facts = Job(*ASKED).facts
    wrong = replace(facts[-1], kind=FactKind.CAUTION_ACKNOWLEDGED, data={"caution": "area", "words": "area is clear"})
    with pytest.raises(RecordError):
        fold(LIBRARY, [*facts, wrong])


def test_a_job_on_a_procedure_that_is_gone_is_told() -> None:
    """By its name."""
    opened = Job().facts[0]
    with pytest.raises((MissingStep, RecordError), match="no-such"):
        fold(LIBRARY, [replace(opened, procedure="no-such")])


def test_a_picture_is_kept_and_said_so() -> None:
    """While a burst is counted nothing is said over the tones."""
    job = Job(*ASKED).act(KeepPicture(name="one.jpg"))
    assert job.kinds == [FactKind.PICTURE_TAKEN] and "Picture kept." in job.said
    job = Job(*COUNTING).act(KeepPicture(name="two.jpg"))
    assert job.kinds == [FactKind.PICTURE_TAKEN] and "Picture" not in job.said


def test_ending_while_the_starter_is_counted_stops_the_count_first() -> None:
    """The release is called by what ends, and the end is only asked."""
    job = Job(*COUNTING).say("end job")
    assert FactKind.STOPPED in job.kinds and FactKind.END_ASKED in job.kinds
    assert job.state.mode is Mode.ENDING and job.state.timed is None


def test_going_back_while_the_starter_is_counted_stops_the_count_first() -> None:
    """Back at the reading nothing is timed."""
    job = Job(*COUNTING).say("go back")
    assert FactKind.STOPPED in job.kinds
    assert job.state.at.step == "volts" and job.state.timed is None


def test_how_long_tells_what_is_left_of_a_count() -> None:
    """And of a step that nothing is counted in, how long it takes."""
    assert Job(*COUNTING).say("how long").said == "Seven seconds left. I am counting. Say stop to end it."
    assert Job().say("how long").said.startswith("This step takes about two minutes.")
    assert Job(*CLOSING).say("how long").said.startswith("Nothing is timed here.")


def test_what_can_be_said_is_named_answers_first() -> None:
    """Then the commands by the phrases that are listened for."""
    job = Job(*ASKED).say("what can i say")
    assert job.said.startswith("Say all clean or full of dirt. Or stop, pause, say again, go back, skip, where am i, ")


def test_a_hold_that_the_machine_gave_says_so_in_its_fact() -> None:
    """One that was asked for does not."""
    asked = Job(*COUNTING).say("stop")
    given = Job(*COUNTING).say("stop", engine=BY_MACHINE)
    (one,) = [fact for fact in asked.turn.facts if fact.kind is FactKind.STOPPED]
    (other,) = [fact for fact in given.turn.facts if fact.kind is FactKind.STOPPED]
    assert "hearing" not in one.data and other.data["hearing"]["engine"] == "machine"


def test_a_wait_is_not_skipped_and_its_rest_is_told(library) -> None:
    """Five minutes of vapour stay five minutes; a spray whose try is used up is not gone back to."""
    job = Led(library, "fuel-substitute").until("close")
    before = job.state
    assert job.control(Control.GO_BACK).turn.refused.startswith("No try is left in the step before")
    assert job.state == before
    job.until("clear-wait", mode=Mode.WAITING)
    assert job.control(Control.SKIP).turn.refused == "This time cannot be skipped."
    assert job.control(Control.HOW_LONG).words.startswith("Five minutes left.")


def test_who_leads_is_changed_by_word_and_what_waits_is_put_again() -> None:
    """Each way once, by a fact."""
    job = Job().say("lead the way")
    assert job.said == "I will lead from the next test on. Say done when it is done."
    assert [fact.data for fact in job.turn.facts if fact.kind is FactKind.PLAN_CHANGED] == [{"leads": True}]
    job.say("by the book")
    assert job.said == "By the book from the next test on. Say done when it is done." and not job.state.leads


def test_a_yes_to_what_was_echoed_is_heard_out() -> None:
    """In the brief way, by who is used to read-backs; nothing is logged twice. In full it means nothing."""
    job = Job("be brief", "done", "all clean").say("yes")
    assert (job.said, job.kinds, job.turn.refused) == ("Noted already. Say the reading in volts.", [], None)
    job = Job("done", "all clean", "yes").say("yes")
    assert job.turn.refused == "There is nothing to say yes to."


@pytest.mark.parametrize(
    ("words", "changed"),
    [("louder", "volume"), ("softer", "volume"), ("slower", "rate_wpm"), ("faster", "rate_wpm")],
)
def test_the_voice_is_changed_in_one_thing_at_a_time(words, changed) -> None:
    """Louder is no faster."""
    before = Job("softer", "slower").state
    after = Job("softer", "slower").say(words).state
    same = {"volume", "rate_wpm"} - {changed}
    assert getattr(after, changed) != getattr(before, changed)
    assert all(getattr(after, each) == getattr(before, each) for each in same)


def test_what_is_off_the_car_is_told_before_the_end_is_asked() -> None:
    """Who says yes has heard it."""
    told = "Still to put right: duct. End the job here? Say yes to end it, or no to go on."
    assert Job(*ASKED).say("end job").said == told


def test_a_struck_item_is_asked_about_anew() -> None:
    """It is off the car again, and the question about it stands."""
    job = Job(*DONE, "strike that").say("yes")
    assert job.said == "Struck: the duct. The duct: say it is put right, or left off."
    assert job.state.open_items == ("duct",)


@pytest.mark.parametrize("to_here", [CAUTION, GATE, POISED, COUNTING, ("done", "pause")])
def test_nobody_is_taken_elsewhere_while_something_is_counted_or_held(to_here) -> None:
    """Nor out of a caution but by the plan, which the small job has not."""
    job = Job(*to_here)
    before = job.state
    job.act(TakeTo(block="spark", name="spark check"))
    assert job.turn.refused and job.state == before
    if to_here in (COUNTING, ("done", "pause")):
        assert job.turn.refused == "Not now. Finish this first."

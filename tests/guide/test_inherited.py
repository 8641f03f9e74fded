"""A second job on the same car begins with what the first left of it; no clock clears what nobody saw clear."""

import pytest

from assistant.facts import EarlierJob, Fact, FactKind, Left, Turned
from assistant.guide import Mode, begin, can_say, fold
from assistant.guide.inherited import LONGEST_REST_S, Earlier, left_by, words_of_left
from assistant.language.model import Control
from assistant.procedure.condition import VAPOUR_CLEARS_S, Condition
from tests.guide.led import CAR, Led


def sprayed(library):
    """A job that was ended right after its spray, can and prop and duct as they were."""
    job = Led(library, "fuel-substitute").until("close")
    job.say("end job").say("yes")
    while job.state.open_items:
        job.say("left off")
    assert "This stays with the car: starting fluid in the bay" in job.words
    return job


def with_key(facts, key):
    """The same facts under another job's key."""
    ids = {fact.id: f"{key}-{fact.number}" for fact in facts}
    for fact in facts:
        object.__setattr__(fact, "id", ids[fact.id])
    return facts


def test_a_spark_in_a_new_job_on_the_same_car_waits_for_the_old_vapour(library):
    """However long ago the first ended by the clock, and though all was left off there."""
    first = sprayed(library)
    left = left_by([Earlier(facts=first.facts, away_s=86_400.0)])
    assert {each.condition for each in left.marks} == {"vapour", "can-out", "duct-open", "prop-in"}
    assert {each.item for each in left.off} == {"intake duct", "pedal prop"}
    job = Led(library, "spark-check", inherits=left)
    assert "This car was in job job." in job.words and "vapour about" in job.words
    assert job.state.open_items == ("intake duct", "pedal prop")
    job.until("first-crank", mode=None)
    for _ in range(30):
        if job.state.instructed and job.at == "first-crank":
            break
        job.step_on()
    assert {"can is away", "duct is closed", "prop is out"} <= set(job.asked)
    ended = next(fact for fact in job.facts if fact.kind is FactKind.WAIT_ENDED)
    assert ended.at_s >= VAPOUR_CLEARS_S
    assert job.state.open_items == ("fuel pump fuse", "first coil", "spark tester")
    assert fold(library, job.facts) == job.state


def test_what_a_later_job_cleared_is_gone_for_the_third(library):
    """And what it never knew of is not."""
    first = sprayed(library)
    left = left_by([Earlier(facts=first.facts)])
    second = Led(library, "vapour-cleared", inherits=left).until("sniff")
    second.step_on()
    facts = [*with_key(second.facts, "second")]
    third = left_by([Earlier(facts=first.facts), Earlier(facts=facts)])
    assert {each.condition for each in third.marks} == {"duct-open", "prop-in"}
    unaware = Led(library, "vapour-cleared").until("sniff")
    facts = [*with_key(unaware.facts, "unaware")]
    still = left_by([Earlier(facts=first.facts), Earlier(facts=facts)])
    assert "vapour" in {each.condition for each in still.marks}


def test_the_starter_rests_on_and_only_proved_time_counts(library):
    """Ten seconds of cranking a minute ago; a clock that was set back counts as no time."""
    first = Led(library, "fuel-supply", {"sound": "loud whine"}).until("fuel-crank")
    while first.state.duty.ended_s is None:
        first.step_on()
    since_s = first.facts[-1].at_s - first.state.duty.ended_s
    left = left_by([Earlier(facts=first.facts, away_s=60.0)])
    assert left.starter == Turned(cranked_s=10.0, rested_s=round(since_s + 60.0, 3))
    state = begin(library, "cranking-check", "k", "second", CAR, inherits=left).state
    assert (state.duty.cranked_s, state.duty.ended_s) == (10.0, -round(since_s + 60.0, 3))
    second = Led(library, "cranking-check", inherits=left).until("turn", mode=Mode.RESTING)
    assert any(fact.kind is FactKind.REST_BEGUN for fact in second.facts)
    rested = left_by([Earlier(facts=first.facts, away_s=4_000.0)])
    assert rested.starter is None


def test_the_same_car_is_said_where_no_plate_says_so(library):
    """Until then nothing of the last job counts; from then on all of it, and work under way is broken off."""
    offer = left_by([Earlier(facts=sprayed(library).facts)])
    job = Led(library, "cranking-check", offers=offer)
    assert "If this is that car, say the same car." in job.words
    job.until("turn", mode=Mode.POISED)
    assert Condition.DUCT_OPEN not in job.state.bay.conditions
    assert "the same car" in can_say(library, job.state)
    job.control(Control.SAME_CAR)
    assert job.state.mode is Mode.GATING and "The starting fluid is in the bay" in job.words
    job.asked.clear()
    job.until("turn", mode=Mode.POISED)
    assert {"can is away", "duct is closed", "prop is out"} <= set(job.asked)
    assert fold(library, job.facts) == job.state
    assert "the same car" not in can_say(library, job.state)
    assert not job.control(Control.SAME_CAR).turn.facts
    third = left_by([Earlier(facts=sprayed(library).facts), Earlier(facts=with_key(job.facts, "second"))])
    assert not third.marks  # the crank waited until the vapour was gone


def test_a_leak_told_in_an_open_job_goes_with_the_car(library):
    """A job need not end to leave something; history names it and what it found."""
    first = Led(library, "cranking-check").until("turn")
    first.tell("leak-check", "leak", "leak", "vapour")
    left = left_by([Earlier(facts=first.facts)])
    assert left.jobs == (EarlierJob(job="job"),)
    second = Led(library, "cranking-check", inherits=left)
    assert Condition.LEAK in second.state.bay.conditions
    assert second.until("turn").control(Control.WHERE).words.count("a fuel leak") == 1
    assert "the key" not in words_of_left(left)


def test_nothing_is_inherited_of_a_car_that_was_left_in_order(library):
    """Only that it was here."""
    job = Led(library, "battery-state").until("rest-volts")
    assert left_by([Earlier(facts=job.facts)]) == Left(jobs=(EarlierJob(job="job"),))
    assert left_by([]) is None and words_of_left(None) == ""


def fact(number, kind, at_s=0.0, key="k", **data):
    """One of a made-up job."""
    return Fact(id=f"{key}-{number}", job=f"job {key}", number=number, at_s=at_s, kind=kind, data=data)


def test_the_starter_rests_from_the_latest_burst_of_all_jobs():
    """Also of one that a job took over from another; after the longest rest nothing is left of it."""
    first = [fact(1, FactKind.JOB_STARTED), fact(2, FactKind.BURST_ENDED, 20.0, start_s=10.0, end_s=18.0)]
    taken = {"starter": {"cranked_s": 8.0, "rested_s": 30.0}}
    second = [fact(1, FactKind.JOB_STARTED, key="m", inherits=taken), fact(2, FactKind.NOTE_TAKEN, 5.0, key="m")]
    assert left_by([Earlier(facts=first, away_s=50.0)]).starter == Turned(cranked_s=8.0, rested_s=52.0)
    both = [Earlier(facts=first, away_s=500.0), Earlier(facts=second, away_s=1.0)]
    assert left_by(both).starter == Turned(cranked_s=8.0, rested_s=36.0)
    assert left_by([Earlier(facts=first, away_s=LONGEST_REST_S)]).starter is None
    assert left_by([]) is None and left_by([Earlier(facts=[], away_s=0.0)]) is None


def test_what_an_earlier_job_found_is_told_unless_it_went_back():
    """The last finding that stands, by its fault; a job without one is named alone."""
    began, found = fact(1, FactKind.JOB_STARTED), fact(2, FactKind.FINDING_REACHED, fault="coil")
    back, other = fact(3, FactKind.WENT_BACK), fact(4, FactKind.FINDING_REACHED, fault="pump")
    for facts, fault in (([began, found], "coil"), ([began, found, back], None), ([began, found, back, other], "pump")):
        (job,) = left_by([Earlier(facts=facts, away_s=0.0)]).jobs
        assert job == EarlierJob(job="job k", fault=fault or "")


@pytest.mark.parametrize(
    ("procedure", "step", "mode"), [("battery-state", "rest-volts", Mode.ASKING), ("charging", "idle-run", None)]
)
def test_no_voltage_is_read_at_a_pack_that_an_earlier_job_left_on(library, procedure, step, mode):
    """12.9 volts of the pack read as a charged battery, 14.2 as an alternator that charges."""
    first = Led(library, procedure).say("the jump pack is on")
    left = left_by([Earlier(facts=first.facts)])
    assert {each.condition for each in left.marks} == {"pack-on"}
    second = Led(library, procedure, inherits=left).until(step, mode=mode)
    assert "pack is off" in second.asked

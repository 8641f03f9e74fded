"""A job that is ended from the desk: by the guide's rules, else by its facts alone, and never with parts unsaid."""

from dataclasses import replace

import pytest

from assistant.bay import folded
from assistant.desk.closing import Repair, close, require_fault
from assistant.errors import UsageError
from assistant.facts import FactKind
from assistant.guide import Mode, advance, begin, fold
from assistant.guide.fold import MoveRefused
from assistant.language.model import GiveControl
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.reader import read_model
from tests.guide.conftest import PROCEDURES
from tests.guide.job import LIBRARY, TO_CRANK, Job

LINE = "fuel line at the rail"
TOGETHER = ("done", "full of dirt", "yes", "it is put right")
"""What is said until nothing is off the car."""


def kinds(closed):
    return [fact.kind for fact in closed.facts]


def with_off(item):
    """A library in which the first step takes this off the car, and a job on it that was left there."""
    steps = tuple(replace(each, removes=(item,)) if each.id == "first" else each for each in LIBRARY["small"].steps)
    library = {"small": replace(LIBRARY["small"], steps=steps)}
    turn = begin(library, "small", "k", "job", {})
    done = advance(library, turn.state, GiveControl(control="done"), 5.0)
    assert done.state.open_items == (item,)
    return library, [*turn.facts, *done.facts]


def test_an_open_job_is_ended_once():
    """What is added ends it for the guide as well; a second time is refused."""
    job = Job(*TOGETHER)
    closed = close(LIBRARY, job.facts, left_off=False)
    assert closed.ends and kinds(closed)[-1] is FactKind.JOB_ENDED
    whole = [*job.facts, *closed.facts]
    assert fold(LIBRARY, whole).mode is Mode.ENDED
    with pytest.raises(UsageError, match="has ended already"):
        close(LIBRARY, whole, left_off=True)


@pytest.mark.parametrize(
    "to_here",
    [
        ("done", "end job"), ("done", "end job", "pause"), ("done", "pause"), ("done", "note"), ("done", "all clean"),
        ("skip",), ("i cannot do that",), TO_CRANK, (*TO_CRANK, "strike that"), (*TO_CRANK, "area is clear"),
        (*TO_CRANK, "area is clear", "brake is set", "ready"),
    ],
)  # fmt: skip
def test_wherever_a_job_was_left_it_can_be_ended(to_here):
    """At the very question whether it ends, at any other, on hold, or while the starter was counted."""
    job = Job(*to_here)
    closed = close(LIBRARY, job.facts, left_off=True)
    assert fold(LIBRARY, [*job.facts, *closed.facts]).mode is Mode.ENDED
    assert FactKind.STRUCK not in kinds(closed)


def test_what_a_step_under_way_may_have_taken_off_counts_too():
    """It is known as off only once the step is left; a job is not called closed while it waits for an answer."""
    job = Job()
    assert job.state.open_items == ()
    with pytest.raises(UsageError, match="Still off the vehicle: duct"):
        close(LIBRARY, job.facts, left_off=False)
    assert kinds(close(LIBRARY, job.facts, left_off=True))[-2:] == [FactKind.ITEM_LEFT_OFF, FactKind.JOB_ENDED]


@pytest.mark.parametrize("led", [True, False])
def test_what_is_off_the_car_holds_a_job_open_until_it_is_said_to_stay_off(led):
    """Then each part is recorded as left off, whether procedures are at hand or not."""
    library, facts = with_off("duct")
    with pytest.raises(UsageError, match="Still off the vehicle: duct"):
        close(library if led else {}, facts, left_off=False)
    closed = close(library if led else {}, facts, left_off=True)
    (left,) = [fact for fact in closed.facts if fact.kind is FactKind.ITEM_LEFT_OFF]
    assert left.data["item"] == "duct" and kinds(closed)[-1] is FactKind.JOB_ENDED
    assert [fact.number for fact in closed.facts] == list(range(len(facts) + 1, len(facts) + len(closed.facts) + 1))
    assert all(fact.id == f"k-{fact.number}" for fact in closed.facts)
    if not led:
        assert closed.facts[-1].data == {"finding": False, "by": "desk", "unled": True}


def test_a_fuel_line_is_not_left_open_from_the_desk_either():
    """Led, the guide refuses; where nothing leads any more the next job on the car is told of it."""
    library, facts = with_off(LINE)
    with pytest.raises(UsageError, match="is not left open"):
        close(library, facts, left_off=True)
    unled = [*facts, *close({}, facts, left_off=True).facts]
    assert folded(unled).conditions == folded(facts).conditions != frozenset()


def test_a_repair_is_told_with_the_end_or_behind_it():
    """Of a job that has ended nothing else is added; None takes it back."""
    job = Job(*TOGETHER)
    both = close(LIBRARY, job.facts, left_off=False, repair=Repair(fault="made-up"))
    assert both.ends and kinds(both)[-2:] == [FactKind.JOB_ENDED, FactKind.REPAIR_CONFIRMED]
    later = close(LIBRARY, [*job.facts, *both.facts], left_off=False, repair=Repair(fault=None))
    assert not later.ends and kinds(later) == [FactKind.REPAIR_CONFIRMED] and later.facts[0].data["fault"] is None


def test_an_end_that_is_refused_tells_no_repair():
    """The job stays as it was: a repair is never confirmed of a job under way."""
    library, facts = with_off(LINE)
    with pytest.raises((UsageError, MoveRefused)):
        close(library, facts, left_off=True, repair=Repair(fault="made-up"))


def test_a_fault_that_the_model_does_not_know_is_refused_by_name():
    """With those that it knows; without a model any may be told."""
    model = read_model("no-start.faults.yaml", (PROCEDURES / "no-start.faults.yaml").read_text(encoding="utf-8"))
    for known in (model.faults[0].id, NONE_OF_THESE):
        require_fault(model, known)
    with pytest.raises(UsageError, match=f"no fault 'made-up'.*{model.faults[0].id}.*{NONE_OF_THESE}"):
        require_fault(model, "made-up")
    require_fault(None, "made-up")

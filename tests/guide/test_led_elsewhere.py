"""Leaving for another test: what holds the technician here, and in which words it is refused."""

from dataclasses import replace

import pytest

from assistant.bay import Bay, Mark, Off
from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.guide.excusing import cannot, excuse
from assistant.guide.expect import CANNOT_RESULTS
from assistant.guide.leading import leader, put_off, take_to
from assistant.guide.occasions import ways_on
from assistant.guide.state import Frame, Position, State
from assistant.guide.turn import Led, Making, Refused
from assistant.language.model import GiveResult
from assistant.language.own_words import meant_by
from assistant.procedure.condition import Condition
from assistant.wiring import load_libraries, shipped_procedures
from tests.guide.job import LIBRARY, Job

VAPOUR = Bay(marks=(Mark(condition=Condition.VAPOUR, at_s=0.0, fact="f"),))
REASON = GiveResult(result="no-tool", words="no tool")


class Plan:
    """A plan that knows this one test, or none; it may be closed with a reason."""

    def __init__(self, step="", why_closed=""):
        self.step, self.why_closed = step, why_closed

    def __call__(self, state, facts, target):
        """The best test."""
        return Led(step=self.step, why="Next that.") if self.step else None

    def rather(self, state, facts, target):
        """The best beside the one that is left."""
        return self(state, facts, target)

    def closed(self, state, facts, block):
        """Why a test that was named cannot be done."""
        return self.why_closed

    def ended(self, state, facts, target):
        """No test that was named does."""
        return ""

    def known(self, state, facts):
        """Nothing is."""
        return None


def making(plan, *words, **state):
    """A turn of the small job, which leads and where nothing is off the car unless it is said."""
    at = replace(Job(*words).state, leads=True, bay=Bay(marks=()))
    return Making(LIBRARY, replace(at, **state), 0.0, choose=plan)


@pytest.mark.parametrize(
    ("state", "plan", "why"),
    [
        ({"leads": False}, Plan("look"), "We go by the book now"),
        ({}, None, "We go by the book now"),
        ({"bay": Bay(marks=(), off=Job("done").state.bay.off)}, Plan("look"), "First put right the duct"),
    ],
)
def test_what_holds_the_technician_here_is_said(state, plan, why):
    """No plan leads, or something is off the car."""
    with pytest.raises(Refused, match=why):
        leader(making(plan, "done", **state))


def test_vapour_holds_only_where_it_was_sprayed_and_not_at_a_finding():
    """Its own procedure clears it first; elsewhere, and where the tests ended, another test is led to."""
    _, library = load_libraries(shipped_procedures())
    frame = Frame(procedure="fuel-substitute", step=library["fuel-substitute"].begin)
    position = Position(at=frame, stack=(Frame(procedure="no-start", step="cranking"),))
    at = State(key="k", mode=Mode.ASKING, root="no-start", position=position, leads=True, may_plan=True, bay=VAPOUR)
    plan = Plan("prime")
    with pytest.raises(Refused, match="First the vapour must be cleared"):
        leader(Making(library, at, 0.0, choose=plan))
    assert leader(Making(library, replace(at, mode=Mode.CLOSING, finding=True), 0.0, choose=plan)) is plan
    meter = Position(at=Frame(procedure="cranking-check", step="meter"), stack=position.stack)
    assert leader(Making(library, replace(at, position=meter), 0.0, choose=plan)) is plan


def test_another_test_is_another_one():
    """Where the plan knows none, or none but this, that is said; a named one may be closed."""
    for plan in (Plan(), Plan("first")):
        with pytest.raises(Refused, match="There is no better test now"):
            put_off(making(plan))
    with pytest.raises(Refused, match="not without a gauge"):
        take_to(making(Plan(why_closed="not without a gauge")), "look", "look")


def test_what_cannot_be_done_is_asked_about_only_where_the_job_can_go_on_without_it():
    """Not while it counts, not with the duct off, not where the answer decides the way."""
    counting = making(Plan(), "done", "all clean", "yes", "twelve point six volts", mode=Mode.TIMING)
    with pytest.raises(Refused, match="Finish this first"):
        cannot(counting)
    with pytest.raises(Refused, match="First put right the duct"):
        cannot(making(Plan("look"), "done", bay=Bay(marks=(), off=Job("done").state.bay.off)))
    with pytest.raises(Refused, match="The answer to this step decides"):
        cannot(making(Plan("look"), "done", leads=False))


def test_a_reason_is_no_use_where_nothing_can_follow():
    """The plan knows no better test and the step has no way past: nothing is kept."""
    asked = making(Plan(), "done")
    cannot(asked)
    assert asked.state.mode is Mode.EXCUSING
    with pytest.raises(Refused, match=r"There is no better test now\. Go back, or end the job"):
        excuse(asked, REASON)


def test_a_reason_leads_to_the_next_best_test():
    """What was left out is a fact with its reason, and so is where the plan went."""
    asked = making(Plan("volts"), "done")
    cannot(asked)
    excuse(asked, REASON)
    kinds = [fact.kind for fact in asked.facts]
    assert FactKind.TEST_LEFT_OUT in kinds and FactKind.PLAN_CHANGED in kinds
    assert asked.state.at.step == "volts"


@pytest.mark.parametrize(
    "words", ["no meter", "i don't have a meter", "i have no meter", "no reading", "couldn't read it"]
)
def test_no_meter_is_a_reason_as_people_say_it(words: str) -> None:
    """After "i can't do that": what is missing to read with, and what gave no reading."""
    meant = meant_by(words, CANNOT_RESULTS, {})
    assert meant == ("no-reach" if "read" in words else "no-tool")


def test_who_has_no_reading_is_not_held_by_the_meter_that_the_step_takes_off():
    """Neither skip nor another test led out of it: only a made-up number did."""
    _, library = load_libraries(shipped_procedures())
    position = Position(
        at=Frame(procedure="cranking-check", step="crank-volts"), stack=(Frame(procedure="no-start", step="cranking"),)
    )
    bay = Bay(marks=(), off=(Off(item="meter leads"),))
    at = State(key="k", mode=Mode.ASKING, root="no-start", position=position, leads=True, may_plan=True, bay=bay)
    turn = Making(library, at, 0.0, choose=Plan("prime"))
    cannot(turn)
    assert turn.state.mode is Mode.EXCUSING and turn.state.open_items == ("meter leads",)
    excuse(turn, REASON)
    assert turn.state.open_items == () and turn.state.at.step == "prime"
    line = replace(at, bay=Bay(marks=(), off=(Off(item="fuel line at the rail"),)))
    with pytest.raises(Refused, match="First put right"):
        cannot(Making(library, line, 0.0, choose=Plan("prime")))


def test_a_finding_names_what_leads_on_from_it():
    """ "Done" closed the job for good, and nothing else was named."""
    _, library = load_libraries(shipped_procedures())
    position = Position(at=Frame(procedure="no-start", step="fuel-leak"))
    at = State(key="k", mode=Mode.CLOSING, root="no-start", position=position, leads=True, may_plan=True, finding=True)
    assert ways_on(library, replace(at, bay=VAPOUR)) == ("repair done", "another test")
    assert ways_on(library, replace(at, mode=Mode.ASKING)) == ()

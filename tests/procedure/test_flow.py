"""What leads where in a procedure."""

from __future__ import annotations

import pytest

from assistant.procedure.flow import calls_of, chooses, leads_to, reachable, steps_by_id, ways_of
from assistant.procedure.model import Procedure
from assistant.procedure.reader import read_procedure


@pytest.fixture(scope="module")
def procedure(every_kind: str) -> Procedure:
    """The made-up job with every kind of step."""
    read = read_procedure("every-kind.yaml", every_kind).procedure
    assert read is not None
    return read


def test_ways_carry_the_answer_that_takes_them(procedure: Procedure) -> None:
    """Results, bands, cases, otherwise and next are all ways out."""
    steps = steps_by_id(procedure)
    assert [(way.answer, way.goes) for way in ways_of(steps["turn"])] == [("ran", "clear"), ("silent", "spray")]
    assert [way.answer for way in ways_of(steps["volts"])] == ["low", "fair", "high"]
    assert [(way.answer, way.goes) for way in ways_of(steps["by-drive"])] == [
        ("no", "by-throttle"),
        ("yes", "volts"),
        ("otherwise", "volts"),
    ]
    assert [(way.answer, way.goes) for way in ways_of(steps["open"])] == [(None, "spray")]
    assert ways_of(steps["flat"]) == ways_of(steps["runs"]) == ()


def test_reach_and_return(procedure: Procedure) -> None:
    """Every step of the job is in reach, and those that lead to an end are found backwards."""
    assert reachable(procedure) == {step.id for step in procedure.steps}
    assert leads_to(procedure, ["clear"]) >= {"clear", "turn", "spray", "open", "complaint"}
    assert "volts" not in leads_to(procedure, ["clear"])


def test_only_answers_that_part_ways_choose(procedure: Procedure) -> None:
    """A result chooses where the results of its step lead to different steps."""
    steps = steps_by_id(procedure)
    assert chooses(steps["turn"])
    assert not chooses(steps["by-throttle"])
    assert not chooses(steps["open"])


def test_calls(procedure: Procedure) -> None:
    """The one call of the job."""
    assert [(step.id, calls) for step, calls in calls_of(procedure)] == [("lamp", "lamp")]

"""What whoever watches a job is told of it."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.record.chain import facts_of
from assistant.record.watched import TOLD, watched
from tests.ports.journal_suite import fact
from tests.record.sample_job import sample_job


@pytest.mark.parametrize(
    ("kind", "data", "line"),
    [
        (FactKind.STEP_ENTERED, {}, "at no start: spark check"),
        (FactKind.RESULT_LOGGED, {"result": "no-spark"}, "answer: no spark"),
        (FactKind.RESULT_LOGGED, {"result": "petrol", "known": "fuel"}, None),
        (
            FactKind.READING_LOGGED,
            {"name": "rest", "value": 12.4, "unit": "V", "band": "low"},
            "reading: rest 12.4 V (low)",
        ),
        (FactKind.BURST_ENDED, {"seconds": 6.2, "caught": False}, "the starter turned for 6.2 s, it did not catch"),
        (FactKind.BURST_ENDED, {}, "the starter turned"),
        (FactKind.FINDING_REACHED, {"fault": "crank-sensor"}, "finding: crank sensor"),
        (FactKind.REPAIR_CONFIRMED, {"fault": None}, "repair confirmed: taken back"),
        (FactKind.TAKEN_OVER, {"bay": "bay-two", "from": "bay-one"}, "taken over by bay-two from bay-one"),
        (FactKind.CAUTION_SPOKEN, {"caution": "start-up"}, None),
        (FactKind.JOB_STARTED, {}, "the job began"),
        (FactKind.VEHICLE_NOTED, {"fact": "fuel-kind", "value": "petrol"}, "noted: fuel kind petrol"),
        (FactKind.CODE_LOGGED, {"code": "P0335"}, "fault code: P0335"),
        (FactKind.TEST_TOLD, {"test": "spark-check", "result": "no-spark"}, "told: spark check: no spark"),
        (FactKind.WORDS_KEPT, {"words": "it quit"}, "said: it quit"),
        (FactKind.NOTE_TAKEN, {"words": "oil there"}, "note: oil there"),
        (FactKind.STOPPED, {}, "stopped"),
        (FactKind.PAUSED, {}, "paused"),
        (FactKind.RESUMED, {}, "taken up again"),
        (FactKind.WENT_BACK, {}, "went back"),
        (FactKind.STEP_SKIPPED, {}, "skipped"),
        (FactKind.STRUCK, {}, "something was struck"),
        (FactKind.TEST_LEFT_OUT, {"why": "no-tool"}, "left out: no tool"),
        (FactKind.REPAIR_DONE, {"fault": "coil-dead"}, "repair done: coil dead"),
        (FactKind.REPAIR_FAILED, {"fault": "coil-dead"}, "repair that did not hold: coil dead"),
        (FactKind.REPAIR_CONFIRMED, {"fault": "coil-dead"}, "repair confirmed: coil dead"),
        (FactKind.JOB_ENDED, {}, "the job ended"),
        (FactKind.BURST_ENDED, {"seconds": 3.0, "caught": True}, "the starter turned for 3 s, it caught"),
        (FactKind.READING_LOGGED, {"name": "rest"}, "reading: rest no number"),
        (FactKind.READING_LOGGED, {"value": 3.0, "unit": "bar"}, "reading: spark check 3 bar"),
        (FactKind.RESULT_LOGGED, {}, "answer: none"),
        (FactKind.FINDING_REACHED, {}, "finding: spark check"),
        (FactKind.TAKEN_OVER, {}, "taken over by another bay from another bay"),
    ],
)
def test_each_thing_that_says_how_it_goes_is_one_line(
    kind: FactKind, data: dict[str, object], line: str | None
) -> None:
    """With the time since the job began; what only the bay itself needs to know is left out."""
    one = fact(7, kind=kind, data=data, at_s=247.0)
    assert watched(one) == (None if line is None else f"    4:07  {line}")


def test_crooked_facts_are_told_all_the_same() -> None:
    """Whatever stands in a fact, a line comes of it and no exception."""
    for kind in TOLD:
        for data in ({}, {"value": "x", "unit": 3, "caught": "maybe", "words": None, "fault": 7, "finding": "odd"}):
            watched(fact(1, kind=kind, data=data))


def test_a_whole_job_is_told_in_order() -> None:
    """From its beginning to its finding."""
    lines = [line for line in map(watched, facts_of(sample_job().entries())) if line]
    assert "the job began" in lines[0]
    assert any("reading:" in line for line in lines) and any("finding:" in line for line in lines)

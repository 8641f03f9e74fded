"""What is told beside results, by facts that say all of it, some of it, or nothing that can be read."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from assistant.facts import FactKind
from assistant.procedure.model import Kind
from assistant.record.build import build_record
from assistant.record.model import JobRecord
from assistant.record.texts import file_of
from assistant.record.walk import LONGEST_LABEL, step_label
from tests.record.sample_job import PROCEDURE, PROCEDURES, VIN, Bench

Told = tuple[FactKind, str | None, dict[str, Any]]
WRITTEN = "Belts and fan move without warning. Keep hands and leads clear. They can take a hand."


def record_of(*told: Told, procedures: Any = PROCEDURES) -> JobRecord:
    """The record of a job with these facts, a second apart."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for kind, step, data in told:
        bench.add(kind, step, data, after_s=1)
    return build_record(bench.entries(), procedures)


@pytest.mark.parametrize(
    ("data", "procedures", "signal", "text"),
    [
        ({"signal": "danger", "spoken": "Danger. Keep off the fan."}, PROCEDURES, "danger", "Keep off the fan."),
        ({"signal": "danger"}, PROCEDURES, "danger", WRITTEN),
        ({}, PROCEDURES, "warning", WRITTEN),
        ({}, {}, "caution", "crank area"),
        ({"spoken": "Keep off."}, {}, "caution", "Keep off."),
    ],
)
def test_a_caution_is_told_as_it_was_spoken_else_as_it_is_written(
    data: dict[str, str], procedures: Any, signal: str, text: str
) -> None:
    """Without its signal word, which stands beside it; by its name where neither is known."""
    (one,) = record_of(
        (FactKind.CAUTION_SPOKEN, "spark-check", {"caution": "crank-area", **data}), procedures=procedures
    ).cautions
    assert (one.id, one.signal, one.text) == ("crank-area", signal, text)
    assert (one.acknowledged_at_s, one.acknowledged_utc, one.words) == (None, None, None)


@pytest.mark.parametrize(
    ("data", "procedures", "text"),
    [
        ({"spoken": "Is it out?"}, PROCEDURES, "Is it out?"),
        ({}, PROCEDURES, "Is the pedal prop out?"),
        ({}, {}, "Is the pedal prop out?"),  # one that every procedure has
    ],
)
def test_a_gate_is_told_with_the_answer_that_was_its_own(data: dict[str, str], procedures: Any, text: str) -> None:
    """Not with that of another gate or of a caution of the same name; asked again first, it was not answered."""
    asked = (FactKind.GATE_ASKED, "spark-check", {"gate": "prop-out", **data})
    others = (
        (FactKind.GATE_PASSED, "spark-check", {"gate": "key-off", "words": "key is off"}),
        (FactKind.CAUTION_ACKNOWLEDGED, "spark-check", {"caution": "prop-out", "words": "clear"}),
    )
    passed = (FactKind.GATE_PASSED, "spark-check", {"gate": "prop-out", "words": "prop is out"})
    first, second = record_of(asked, *others, asked, *others, passed, procedures=procedures).gates
    assert (first.text, first.words, first.acknowledged_at_s) == (text, None, None)
    assert (second.words, second.acknowledged_at_s, second.signal) == ("prop is out", 7.0, None)
    assert second.acknowledged_utc == "2031-05-01T09:00:07.000Z"


def test_what_came_off_is_open_until_it_is_back() -> None:
    """With how sure that is; nothing is off that has no name."""
    off = [(FactKind.ITEM_REMOVED, None, {"item": name}) for name in ("coil", "cover", "")]
    unsure = (FactKind.ITEM_REMOVED, None, {"item": "hose", "unsure": True})
    left = (FactKind.ITEM_LEFT_OFF, None, {"item": "cover"})
    back = (FactKind.ITEM_REFITTED, None, {"item": "coil"})
    unknown = (FactKind.ITEM_REFITTED, None, {"item": "lid"})
    found = record_of(*off, unsure, left, back, unknown).open_items
    assert [(one.item, one.state) for one in found] == [("cover", "left-off"), ("hose", "unsure")]


def test_why_a_step_was_left_out_is_told_in_order() -> None:
    """Skipped or not possible; without a reason that is said."""
    found = record_of(
        (FactKind.TEST_LEFT_OUT, "spark-check", {"why": "no-tool", "words": "no tester"}),
        (FactKind.STEP_SKIPPED, "complaint", {"reason": "done before", "by": "guide", "cut": True}),
        (FactKind.STEP_SKIPPED, "spark-check", {}),
    ).skipped
    assert [(one.words, one.about, one.hearing.by, one.cut) for one in found] == [
        ("no tester", "skipped", "technician", False),
        ("done before", "skipped", "guide", True),
        ("no reason given", "skipped", "technician", False),
    ]


def test_of_what_is_noted_the_last_that_stands_counts_and_each_has_its_place() -> None:
    """The car, its limits, its owner, who worked and where; what was struck or says nothing is none of it."""
    noted = {"make": "Invented", "model": "Longnose", "year": "2009", "technician": "Sam", "shop": "Bay Nine"}
    noted |= {"odometer": "1200 km", "Owner": "somebody", "rest-good": "12.2", "fuel": "petrol", "": "x", "doors": ""}
    facts = [(FactKind.VEHICLE_NOTED, None, {"fact": name, "value": value}) for name, value in noted.items()]
    vin = (FactKind.VEHICLE_NOTED, None, {"fact": "vin", "value": VIN.lower()})
    again = (FactKind.VEHICLE_NOTED, None, {"fact": "fuel", "value": "diesel"})
    found = record_of(*facts, vin, again, (FactKind.STRUCK, None, {"struck": f"q7f3a1-{len(facts) + 3}"}))
    car = found.vehicle
    assert (car.make, car.model, car.year, car.mileage) == ("Invented", "Longnose", "2009", "1200 km")
    assert (car.vin, car.vin_check, car.facts, car.limits) == (VIN, "right", {"fuel": "petrol"}, {"rest-good": "12.2"})
    assert (found.personal, found.technician, found.shop) == ({"Owner": "somebody"}, "Sam", "Bay Nine")
    assert (record_of().vehicle.vin_check, record_of().technician) == (None, None)


def test_odds_that_are_none_are_left_out() -> None:
    """Nothing below nought or above one; a fact that keeps no others tells none."""
    odds = {"coil": 0.0, "pump": 1.0, "fuse": 1.1, "key": -0.1}
    found = record_of(*((FactKind.PLAN_CHANGED, None, {"odds": each}) for each in (odds, {"fuse": 2.0}, {}))).odds
    assert [one.faults for one in found] == [{"coil": 0.0, "pump": 1.0}]


def test_a_finding_falls_when_the_plan_leads_elsewhere_alone() -> None:
    """A plan that is changed without a place leaves it standing."""
    found = (FactKind.FINDING_REACHED, "no-spark-found", {"fault": "crank-sensor"})
    assert record_of(found, (FactKind.PLAN_CHANGED, None, {"leads": True})).finding is not None
    assert record_of(found, (FactKind.PLAN_CHANGED, None, {"to": "spark-check"})).finding is None
    assert record_of((FactKind.WENT_BACK, None, {}), found).finding is not None


def test_an_answer_that_nobody_gave_says_where_it_comes_from() -> None:
    """And who proposed one that was heard."""
    found = record_of(
        (FactKind.RESULT_LOGGED, "spark-check", {"result": "spark", "known": "fuel"}),
        (FactKind.RESULT_LOGGED, "spark-check", {"result": "spark", "outcome_of": "battery"}),
        (FactKind.RESULT_HEARD, "spark-check", {"result": "spark", "words": "spark present", "by": "ear"}),
        (FactKind.RESULT_LOGGED, "spark-check", {"result": "spark"}),
        (FactKind.RESULT_LOGGED, "spark-check", {"result": "spark", "words": "it is there"}),
    ).results
    assert [(one.hearing.by, one.hearing.words) for one in found] == [
        ("known before", None),
        ("outcome of a part", None),
        ("ear", "spark present"),
        ("technician", "it is there"),
    ]


@pytest.mark.parametrize(
    ("say", "label"),
    [
        ("Look at it. Is it wet? Tell me.", "Is it wet?"),
        ("Look at it. Tell me.", "Look at it"),
        ("", "spark check"),
        (f"{'x' * 64} there.", f"{'x' * 64} there"),
        (f"{'x' * 64}, there it is.", f"{'x' * 64}…"),
        (f"{'x' * 65} there.", f"{'x' * 65}…"),
    ],
)
def test_a_step_is_called_by_what_it_asks(say: str, label: str) -> None:
    """Else by its first sentence, cut between words; a name of its own goes first."""
    step = replace(PROCEDURE.step("spark-check"), say=say)
    assert step_label(step) == label and len(label) <= LONGEST_LABEL + 1
    assert step_label(replace(step, name="spark", kind=Kind.ASK)) == "spark"


def test_the_file_that_a_job_was_begun_with_is_named() -> None:
    """None for a shipped one, and for a first fact of another kind."""
    for data, named in (({"file": "mine.yaml"}, "mine.yaml"), ({}, None)):
        bench = Bench()
        bench.add(FactKind.JOB_STARTED, None, data)
        bench.add(FactKind.NOTE_TAKEN, None, {"words": "x"})
        first, second = (entry.fact() for entry in bench.entries())
        assert (file_of(first), file_of(second)) == (named, None)

"""The line of a job: what it says after each kind of fact, and what finds it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.facts import FactKind
from assistant.record.summary import JobQuery, Summary, in_line, line_of, matches, said_of, summary_from, wanted
from tests.record.sample_job import JOB, PLATE, VIN, Bench, sample_job

ENTRIES = sample_job().entries()
SAID = tuple(one for entry in ENTRIES for one in said_of(entry))


def summary_of(*told: tuple[FactKind, dict[str, object]]) -> Summary:
    """The line after these facts."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED, data={"procedure": "no-start"})
    for kind, data in told:
        bench.add(kind, "spark-check", data)
    return summary_from(bench.entries(), JOB)


def test_the_line_of_a_whole_job() -> None:
    """When it began, what led it, the car without its owner, codes, finding, end."""
    line = summary_from(ENTRIES, JOB)
    assert (line.job, line.started_utc, line.procedure, line.ended) == (
        JOB,
        "2031-05-01T09:00:00.000Z",
        "no-start",
        True,
    )
    assert line.vehicle.split("; ")[:2] == ["fuel=petrol", "cylinders=4"]
    assert PLATE not in line.vehicle and VIN not in line.vehicle
    assert line.finding == "crank-sensor no-spark-found"
    assert [code for _, code in line.codes] == ["P0335"]


def test_what_is_taken_back_leaves_the_line() -> None:
    """A finding and a code that were struck, and a finding that was gone back from; other strikes change nothing."""
    found, code = (FactKind.FINDING_REACHED, {"fault": "coil"}), (FactKind.CODE_LOGGED, {"code": "P0335"})
    stands = summary_of(found, code)
    assert stands.finding == "coil spark-check" and len(stands.codes) == 1
    assert summary_of(found, code, (FactKind.STRUCK, {"struck": "q7f3a1-1"})) == stands
    struck = summary_of(found, code, (FactKind.STRUCK, {"struck": "q7f3a1-2"}))
    assert (struck.finding, len(struck.codes)) == ("", 1)
    struck = summary_of(found, code, (FactKind.STRUCK, {"struck": "q7f3a1-3"}))
    assert (struck.finding, struck.codes) == (stands.finding, ())
    back = summary_of(found, code, (FactKind.WENT_BACK, {}))
    assert (back.finding, back.finding_fact, len(back.codes)) == ("", "", 1)


def test_a_repair_stands_before_the_finding_that_led_to_it() -> None:
    """One that is confirmed again takes its place; one that names no fault leaves the finding alone."""
    found = (FactKind.FINDING_REACHED, {"fault": "coil"})
    once = (FactKind.REPAIR_CONFIRMED, {"fault": "crank-sensor"})
    assert summary_of(found, once).finding == "repaired crank-sensor; found coil spark-check"
    again = (FactKind.REPAIR_CONFIRMED, {"fault": "fuel-pump"})
    assert summary_of(found, once, again).finding == "repaired fuel-pump; found coil spark-check"
    assert summary_of(found, once, (FactKind.REPAIR_CONFIRMED, {})).finding == "coil spark-check"


def test_a_finding_that_may_not_stand_alone_says_so() -> None:
    """As unsure in a list as on the report."""
    doubtful = (FactKind.FINDING_REACHED, {"fault": "coil", "standing": "outweighed"})
    assert summary_of(doubtful).finding.endswith(")") and "(" in summary_of(doubtful).finding


def test_what_cannot_be_read_is_passed_over() -> None:
    """A damaged fact does not stand in the way of the others."""
    damaged = [replace(entry, body=entry.body[:-1]) if entry.number == 3 else entry for entry in ENTRIES]
    assert summary_from(damaged, JOB).finding == summary_from(ENTRIES, JOB).finding
    assert "cylinders" not in summary_from(damaged, JOB).vehicle


def test_what_was_told_twice_counts_as_told_last() -> None:
    """And a value cannot pretend to be two pairs."""
    noted = [(FactKind.VEHICLE_NOTED, {"fact": "engine; x=1", "value": value}) for value in ("a; b=c", "two; d")]
    assert summary_of(*noted).vehicle == "engine x 1=two d"
    hidden = [(FactKind.VEHICLE_NOTED, {"fact": name, "value": "x"}) for name in ("Plate", "technician", "shop")]
    assert summary_of(*hidden, (FactKind.VEHICLE_NOTED, {"fact": "fuel"})).vehicle == ""


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({}, True), ({"words": ("P-0335",)}, True), ({"words": ("p0336",)}, False),
        ({"words": ("grey hatchback",)}, True), ({"words": (" ",)}, True),
        ({"words": (PLATE.replace(" ", "-").lower(),)}, True), ({"words": ("the LIGHTS",)}, True),
        ({"words": ("lights", "elephant")}, False), ({"vehicle": ("petrol",)}, True), ({"vehicle": (VIN[-6:],)}, True),
        ({"vehicle": ("lights",)}, False), ({"vehicle": ("no-start",)}, False), ({"finding": ("crank sensor",)}, True),
        ({"finding": ("petrol",)}, False), ({"finding": (PLATE,)}, False), ({"vehicle": ("-",)}, True),
        ({"since": "2031-05-01"}, True), ({"since": "2031-05-02"}, False), ({"until": "2031-05-01"}, False),
        ({"until": "2031-05-02"}, True), ({"since": "2031-05-01T09:00:00.000Z"}, True),
        ({"until": "2031-05-01T09:00:00.000Z"}, False), ({"ended": True}, True), ({"ended": False}, False),
    ],
)  # fmt: skip
def test_a_search_finds_the_job_by_what_was_said(query: dict[str, object], found: bool) -> None:
    """Each part must hold; codes and plates in any spelling, an owner's only where vehicle or words are asked."""
    assert matches(summary_from(ENTRIES, JOB), JobQuery(**query), SAID) is found


def test_without_its_personal_values_only_the_line_finds_a_job() -> None:
    """What was removed finds nothing any more."""
    line = summary_from(ENTRIES, JOB)
    assert not matches(line, JobQuery(words=(PLATE,))) and not matches(line, JobQuery(words=("lights",)))
    assert matches(line, JobQuery(words=("petrol",)))
    assert PLATE.lower() not in " ".join(line_of(line))


def test_only_what_may_be_a_code_is_looked_for_tidied() -> None:
    """Letters alone would find parts of other words."""
    assert in_line(*wanted(("P-03 35",))[0]) == ("p 03 35", "p0335")
    assert in_line(*wanted(("fuel-pump",))[0]) == ("fuel pump",)
    assert in_line(*wanted(("p0335",))[0]) == ("p0335",)

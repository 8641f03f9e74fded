"""What was measured, as the meter showed it and as it was judged; crooked values are left out and never crash."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.facts import FactKind
from assistant.procedure.model import COMPRESSION_RATIO, Limit
from assistant.record.build import build_record
from assistant.record.model import JobRecord
from assistant.record.spoken import read_aloud
from assistant.record.wording import as_shown
from tests.record.sample_job import PROCEDURE, PROCEDURES, Bench, sample_job


def test_readings_have_limit_judgement_and_source(record: JobRecord) -> None:
    """A reading states its unit, the band it fell in, the limit that made it, and where the limit comes from."""
    reading = record.readings[1]
    assert (reading.value, reading.unit, reading.judgement) == (12.5, "V", "good")
    assert reading.at_least is not None
    assert (reading.at_least.value, reading.at_least.source) == (12.4, "Army TM 5-3805-262-20, p. 5-142")
    assert reading.verdict == "good (at least 12.4 V)"
    assert reading.hearing.confidence == 0.97


def test_the_facts_own_limit_wins_over_the_file() -> None:
    """A limit given for the vehicle is shown as such, whatever the procedure says today."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    limits = {"at_least": {"limit": "rest-good", "value": 12.2, "unit": "V", "source": "vehicle"}}
    data = {"name": "battery at rest", "value": 12.3, "unit": "V", "band": "good", "limits": limits}
    bench.add(FactKind.READING_LOGGED, "battery-at-rest", data)
    used = build_record(bench.entries(), PROCEDURES).readings[0].at_least
    assert used is not None
    assert (used.value, used.overridden, used.source) == (12.2, True, "given for this vehicle")


def test_compression_is_compared_over_cylinders(record: JobRecord) -> None:
    """The lowest cylinder is held against the highest at 75 %."""
    assert record.compression is not None
    assert record.compression.evenness.share == pytest.approx(0.7375)
    assert not record.compression.evenness.passes


def test_a_reading_keeps_the_unit_of_its_meter() -> None:
    """What was judged in kilopascals and shown in p s i is printed as shown."""
    bench = sample_job(ended=False)
    words = "sixty p s i, that is four hundred fourteen kilopascals"
    data = {"name": "compression cylinder one", "quantity": "compression", "value": 413.69, "unit": "kPa"}
    bench.add(FactKind.READING_LOGGED, "compression-1", {**data, "words": words, "spoken": words, "band": "low"})
    reading = build_record(bench.entries(), PROCEDURES).readings[-1]
    assert (reading.judged_value, reading.judged_unit) == (413.69, "kPa")
    assert (reading.value, reading.unit) == (60.0, "psi")
    assert as_shown(reading) == "60 psi"
    bench.add(FactKind.READING_LOGGED, "compression-1", {**data, "words": "fifty p s i", "spoken": "fifty p s i"})
    reading = build_record(bench.entries(), PROCEDURES).readings[-1]
    assert (reading.value, reading.unit) == (413.69, "kPa"), "words of another value were not judged"


def test_a_limit_of_evenness_that_was_told_of_the_car_wins() -> None:
    """In percent; one that is no number does not count."""
    limit = Limit(id=COMPRESSION_RATIO, value=70.0, unit="%", source="tm")
    procedures = {PROCEDURE.id: replace(PROCEDURE, limits=(*PROCEDURE.limits, limit))}
    for told, least, source in (
        ("80", 0.8, "given for this vehicle"),
        ("much", 0.7, "Army TM 5-3805-262-20, p. 5-142"),
    ):
        bench = sample_job(ended=False)
        bench.add(FactKind.VEHICLE_NOTED, None, {"fact": COMPRESSION_RATIO, "value": told})
        found = build_record(bench.entries(), procedures).compression
        assert found is not None and found.evenness.limit_share == pytest.approx(least)
        assert found.evenness.source == source


@pytest.mark.parametrize(
    ("values", "units"), [((0.0, 0.0), ("psi", "psi")), ((90.0,), ("psi",)), ((90.0, 9.0), ("psi", "V"))]
)
def test_cylinders_that_cannot_be_compared_are_not(values: tuple[float, ...], units: tuple[str, ...]) -> None:
    """One alone, none with any pressure, or of units that are no kin."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for number, (value, unit) in enumerate(zip(values, units, strict=True), start=1):
        data = {"name": f"compression cylinder {number}", "quantity": "compression", "value": value, "unit": unit}
        bench.add(FactKind.READING_LOGGED, f"compression-{number}", data)
    assert build_record(bench.entries(), {}).compression is None


def test_a_unit_of_a_newer_version_is_shown_as_it_is() -> None:
    """On paper and aloud: what is not known is not converted, and nothing is lost."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    data = {"name": "glow", "value": 12.4, "unit": "lm", "words": "60 psi", "band": "low"}
    limits = {"below": {"limit": "least", "value": 20.0, "unit": "lx"}}
    bench.add(FactKind.READING_LOGGED, "glow", {**data, "limits": limits})
    record = build_record(bench.entries(), {})
    assert as_shown(record.readings[0]) == "12.4 lm"
    assert record.readings[0].verdict == "low (below 20 lx)"
    assert "Glow: 12.4 lm, low." in read_aloud(record)


WHOLE = {"before_s": 1.0, "step_s": 0.1, "loud_db": [-60.0], "speed_at_s": [0.5], "pulses_hz": [6.2]}


@pytest.mark.parametrize("odd", ["x", {"before_s": 1.0}, {**WHOLE, "step_s": "x"}, {**WHOLE, "loud_db": [None]}])
def test_the_sound_of_a_burst_is_kept_whole_or_not_at_all(odd: object) -> None:
    """Half of what the ear heard draws no picture."""
    for sound, there in ((WHOLE, True), (odd, False)):
        bench = Bench()
        bench.add(FactKind.JOB_STARTED)
        bench.add(FactKind.BURST_ENDED, "spark-check", {"seconds": 3.0, "sound": sound}, after_s=4.0)
        (burst,) = build_record(bench.entries(), {}).bursts
        assert (burst.sound is not None) == there
        assert not there or (burst.sound.loud_db, burst.sound.pulses_hz) == ((-60.0,), (6.2,))


def test_a_reading_without_a_name_of_its_own_is_called_as_its_step_is(record: JobRecord) -> None:
    """Facts of another make lack it; where the step is gone too, its id is all there is."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for step in ("battery-at-rest", "no-such-step"):
        bench.add(FactKind.READING_LOGGED, step, {"value": 12.3, "unit": "V"})
    bench.add(FactKind.READING_LOGGED, "battery-at-rest", {"name": "at the posts", "value": 12.3, "unit": "V"})
    named = [each.name for each in build_record(bench.entries(), PROCEDURES).readings]
    assert named == ["battery at rest", "no such step", "at the posts"]


def test_a_limit_names_the_source_that_it_had_when_it_was_judged() -> None:
    """What the procedure says today counts only where the fact says none."""
    sources = []
    for own in ({"source": "a sheet of that day"}, {}):
        bench = Bench()
        bench.add(FactKind.JOB_STARTED)
        limits = {"at_least": {"limit": "rest-good", "value": 12.4, "unit": "V", **own}}
        data = {"name": "battery at rest", "value": 12.5, "unit": "V", "band": "good", "limits": limits}
        bench.add(FactKind.READING_LOGGED, "battery-at-rest", data)
        used = build_record(bench.entries(), PROCEDURES).readings[0].at_least
        assert used is not None
        sources.append(used.source)
    assert sources == ["a sheet of that day", "Army TM 5-3805-262-20, p. 5-142"]


def test_the_times_of_a_burst_are_kept_to_the_millisecond() -> None:
    """Its length, its rest and what was due; what only some facts tell is reckoned from them."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    exact = {"start_s": 10.00049, "end_s": 15.12351, "by": "ear"}
    bench.add(FactKind.BURST_ENDED, "spark-check", exact, after_s=16.0)
    bench.add(FactKind.BURST_BEGUN, "spark-check", after_s=14.0)
    bench.add(FactKind.BURST_ENDED, "spark-check", {}, after_s=2.5)
    bench.add(FactKind.BURST_ENDED, "spark-check", {"end_s": 40.0, "seconds": 4.0, "rpm": 180.0}, after_s=9.0)
    bench.add(FactKind.BURST_ENDED, "spark-check", {"start_s": 50.0, "end_s": 45.0}, after_s=9.0)
    found = build_record(bench.entries(), PROCEDURES).bursts
    assert [(one.began_s, one.ended_s, one.seconds, one.rest_before_s, one.timed_by) for one in found] == [
        (10.0, 15.124, 5.123, None, "ear"),
        (30.0, 32.5, 2.5, 14.876, "timer"),
        (36.0, 40.0, 4.0, 3.5, "ear"),
        (50.0, 50.0, 0.0, 10.0, "timer"),
    ]
    assert [one.rest_due_s > 0 for one in found] == [False, False, False, True]


@pytest.mark.parametrize(
    ("limits", "verdict"),
    [
        ({"below": {"value": 200.0, "unit": "kPa"}}, "low (below 29 psi)"),
        ({"at_least": {"value": 10.0, "unit": "psi"}}, "low (at least 10 psi)"),
        ({"at_least": {"value": 12.0, "unit": "V"}}, "low (at least 12 V)"),
        (
            {"at_least": {"value": 50.0}, "below": {"value": 1e3, "unit": "kPa"}},
            "low (at least 7.25 psi and below 145 psi)",
        ),
        ({"at_least": {"unit": "kPa"}}, "low"),
        ({}, "low"),
    ],
)
def test_a_limit_is_told_in_the_unit_that_the_meter_showed(limits: dict[str, dict[str, object]], verdict: str) -> None:
    """To three figures; in its own where that is of another kind. One without a name has none."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    data = {"name": "rail", "quantity": "pressure", "value": 413.69, "unit": "kPa", "words": "sixty p s i"}
    bench.add(FactKind.READING_LOGGED, "rail", {**data, "band": "low", "limits": limits})
    (read,) = build_record(bench.entries(), {}).readings
    assert (read.value, read.unit, read.verdict) == (60.0, "psi", verdict)
    assert {one.id for one in (read.at_least, read.below) if one} <= {""}
    bench.add(FactKind.READING_LOGGED, "rail", {**data, "limits": limits})
    bare = build_record(bench.entries(), {}).readings[1]
    assert bare.verdict == verdict.removeprefix("low").strip(" ()") and bare.judgement is None


NUMBERS = "one two three four five six seven eight nine ten eleven twelve"


@pytest.mark.parametrize(
    ("name", "step", "number"),
    [
        *((f"cylinder {word}", "", number) for number, word in enumerate(NUMBERS.split(), start=1)),
        ("Cylinder 3 hot", "", 3),
        ("cyl. 12", "", 12),
        ("pressure", "compression-cylinder-4", 4),
        ("pressure", "compression-cylinder-two", 2),
        ("cylinder many", "", None),
        ("cylinders 3", "", None),
        ("three", "", None),
    ],
)  # fmt: skip
def test_the_cylinder_is_told_by_its_number(name: str, step: str, number: int | None) -> None:
    """In figures or words, of the reading or its step."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    bench.add(FactKind.READING_LOGGED, step or "x", {"name": name, "value": 100.0, "unit": "psi"})
    (read,) = build_record(bench.entries(), {}).readings
    assert read.cylinder == number


def test_compression_is_told_in_the_unit_of_the_meter_where_it_is_one() -> None:
    """Else as it was judged; the last reading of a cylinder that stands counts, and the floor says which are low."""
    for second, unit, shown, floor in (
        ("fifty p s i", "psi", (60.0, 50.0), 58.02),
        ("", "kPa", (413.69, 344.74), 400.0),
    ):
        bench = Bench()
        bench.add(FactKind.JOB_STARTED)
        limits = {"at_least": {"limit": "floor", "value": 400.0, "unit": "kPa", "source": "a sheet"}}
        for number, value, words in ((1, 300.0, ""), (1, 413.69, "sixty p s i"), (2, 344.74, second), (2, 900.0, "")):
            data = {"name": f"cylinder {number}", "quantity": "compression", "value": value, "unit": "kPa"}
            bench.add(FactKind.READING_LOGGED, "x", {**data, "words": words, "limits": limits})
        bench.add(FactKind.STRUCK, None, {"struck": "q7f3a1-5"})
        found = build_record(bench.entries(), {}).compression
        assert found is not None and found.level is not None and found.unit == unit
        assert tuple(one.value for one in found.cylinders) == shown
        assert (found.evenness.lowest, found.evenness.highest, found.evenness.share) == (shown[1], shown[0], 0.8333)
        assert [one.low for one in found.cylinders] == [False, True] and found.level.low == (2,)
        assert found.level.floor == pytest.approx(floor, abs=0.01) and found.level.source == "a sheet"
        assert not found.level.passes and found.evenness.passes and found.evenness.limit_share == 0.75

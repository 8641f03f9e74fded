"""What one job teaches, and what many teach together."""

from __future__ import annotations

import io
from dataclasses import replace

import pypdf
import pytest

from assistant.adapters.journal_memory import MemoryJournal
from assistant.facts import FactKind
from assistant.record.month_page import month_html, month_pdf, pictures_of, tables_of
from assistant.record.shop_month import comebacks, decided_by, minutes_by_finding, month_of
from assistant.record.taught import taught_by
from tests.ports.journal_suite import fact
from tests.record.sample_job import sample_job


def taught(*told: tuple[FactKind, dict[str, object]]) -> dict[str, object]:
    """What a job of these facts teaches."""
    journal = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
    journal.append([fact(at, kind=kind, data=data, at_s=60.0 * at) for at, (kind, data) in enumerate(told, start=1)])
    return taught_by(journal.entries("blue-van"))


def test_a_job_teaches_minutes_tests_readings_and_nobody_s_name() -> None:
    """The sample job tells how long it took, what decided and what was read, without plate, owner or technician."""
    told = taught_by(sample_job().entries())
    assert told["minutes"] > 0 and told["found"] and told["decided"] in told["tests"]
    assert {"name", "value", "unit", "good"} == set(told["readings"][0])
    words = str(told).lower()
    assert "plate" not in words and "technician" not in words


def test_a_struck_answer_teaches_nothing() -> None:
    """Neither a reading nor a finding that was taken back counts."""
    told = taught(
        (FactKind.READING_LOGGED, {"name": "rest", "value": 12.6, "unit": "V", "band": "good"}),
        (FactKind.FINDING_REACHED, {"fault": "crank-sensor"}),
        (FactKind.STRUCK, {"struck": "k7-1"}),
        (FactKind.STRUCK, {"struck": "k7-2"}),
    )
    assert "readings" not in told and "found" not in told


def test_a_reading_after_a_repair_that_held_is_known_good() -> None:
    """Whatever its band says; before the repair, or where none held, only the good band is."""
    low = {"name": "rest", "value": 11.9, "unit": "V", "band": "low"}
    held = taught(
        (FactKind.REPAIR_DONE, {"fault": "x"}),
        (FactKind.READING_LOGGED, low),
        (FactKind.REPAIR_CONFIRMED, {"fault": "x"}),
    )
    assert held["readings"][0]["good"] is True  # type: ignore[index]  # a list of readings
    before = taught((FactKind.READING_LOGGED, low), (FactKind.REPAIR_CONFIRMED, {"fault": "x"}))
    assert before["readings"][0]["good"] is False  # type: ignore[index]  # as above


def test_a_mileage_counts_in_kilometres() -> None:
    """Written in any way, in miles or kilometres; what holds no number is left out."""
    for words, km in (("80,000 km", 80_000.0), ("50 000 miles", 80_467.2), ("about a lot", None)):
        assert taught((FactKind.VEHICLE_NOTED, {"fact": "mileage", "value": words})).get("km") == km


def test_comebacks_are_within_thirty_days_or_a_thousand_kilometres() -> None:
    """Either is enough; another car, an earlier visit and one long after are none."""
    visits = [
        ("demo1", "a", "2031-05-01T09:00:00Z", {"km": 1000.0, "repaired": "coil"}),
        ("demo1", "b", "2031-05-21T09:00:00Z", {"km": 9000.0, "found": "coil"}),
        ("demo1", "c", "2031-09-01T09:00:00Z", {"km": 9500.0}),
        ("demo1", "d", "2032-09-01T09:00:00Z", {"km": 19500.0}),
        ("demo2", "e", "2032-09-02T09:00:00Z", {}),
    ]
    found = comebacks(visits)
    assert [(one.job, one.before, one.days, one.km) for one in found] == [
        ("b", "a", 20.0, 8000.0),
        ("c", "b", 103.0, 500.0),
    ]
    assert (found[0].found_before, found[0].found) == ("coil", "coil")


def test_minutes_and_deciding_tests_are_counted() -> None:
    """Medians and totals by finding; a test counts as done once a job, and as deciding where it was the last."""
    jobs = [
        {"found": "coil", "minutes": 10.0, "tests": ["s/a", "s/b"], "decided": "s/b"},
        {"found": "coil", "minutes": 30.0, "tests": ["s/b"], "decided": "s/b"},
        {"minutes": 5.0, "tests": ["s/a"]},
    ]
    (coil,) = minutes_by_finding(jobs)
    assert (coil.name, coil.count, coil.median_min, coil.total_min) == ("coil", 2, 20.0, 40.0)
    assert [(one.test, one.done, one.decided) for one in decided_by(jobs)] == [("s/b", 2, 2), ("s/a", 2, 0)]


def test_the_page_shows_the_month_and_escapes_every_word() -> None:
    """Its pictures tell in words what they show, and a name that looks like markup is only a name."""
    told = {"found": "<script>", "minutes": 10.0, "tests": ["s/a"], "decided": "s/a", "repaired": "coil"}
    month = month_of("2031-05-01", "2031-06-01", [("2031-05-03T09:00:00Z", told)] * 2, ())
    assert (month.jobs, month.repaired, month.by_day) == (2, 2, (("2031-05-03", 2),))
    assert [one.name for one in pictures_of(month, "serif")] == ["days", "findings", "decided"]
    assert "2031-05-03 2" in pictures_of(month, "serif")[0].alt
    assert [one.title for one in tables_of(month)] == [
        "What jobs came to, and how long they took",
        "Tests",
    ]
    page = month_html(month, "Bay <Nine>")
    assert "<script>" not in page and "Bay &lt;Nine&gt;" in page and "May 2031" in page


def test_the_page_compares_with_the_month_before_and_shows_cars_that_came_back_first() -> None:
    """Each count says what it was before, where anything was; and what cost the shop a second visit stands on top."""
    told = {"found": "coil", "minutes": 75.0, "tests": ["s/a", "s/b"], "decided": "s/a", "steps": {"s/a": 65.0}}
    visits = [("demo1", "a", "2031-04-20T09:00:00Z", told), ("demo1", "b", "2031-05-03T09:00:00Z", told)]
    april = month_of("2031-04-01", "2031-05-01", [("2031-04-20T09:00:00Z", told)], visits)
    may = month_of("2031-05-01", "2031-06-01", [("2031-05-03T09:00:00Z", told)] * 3 + [("2031-05-04", {})], visits)
    back, _, tests = tables_of(may)
    assert back.rows == (("2031-05-03", "b", "13 days", "coil", "coil"),)
    assert tests.rows == (
        ("s: a", "3", "3", "100 %", "65.0 min", "3 h 15 min"),
        ("s: b", "3", "0", "0 %", "", ""),
    )
    page = month_html(may, "", before=april)
    assert "April 1" in page and "75 %, April 1" in page and "75 min" in page
    assert "April" not in month_html(may, "", before=month_of("2031-04-01", "2031-05-01", (), ()))


def test_an_empty_month_is_a_page_too() -> None:
    """No jobs, no pictures, no tables."""
    month = month_of("2031-05-01", "2031-06-01", (), ())
    assert pictures_of(month, "serif") == tables_of(month) == ()
    assert "<dd>0</dd>" in month_html(month, "")


def test_the_page_on_paper_says_the_same() -> None:
    """Its counts, its tables and the shop's name, also what the fonts lack; words that look like code stay words."""
    told = {"found": "#panic()", "minutes": 75.0, "tests": ["s/a"], "decided": "s/a", "repaired": "coil"}
    month = month_of("2031-05-01", "2031-06-01", [("2031-05-03T09:00:00Z", told)] * 2, ())
    reader = pypdf.PdfReader(io.BytesIO(month_pdf(month, "Bay \u6771", before=month)))
    words = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    for said in ("May 2031", "[1 sign of another script]", "#panic()", "Jobs begun 2", "100 %, May 2", "75 min"):
        assert said in words


def test_what_cannot_be_read_teaches_nothing() -> None:
    """A damaged job leaves the month as it is."""
    entries = sample_job().entries()
    assert taught_by([*entries[:2], replace(entries[2], body="{"), *entries[3:]]) == {}


def test_told_tests_and_failed_repairs_are_taught_by_their_names() -> None:
    """The answer of a part, and what was known before, decide nothing."""
    told = taught(
        (FactKind.TEST_TOLD, {"test": "spark-look", "result": "none"}),
        (FactKind.RESULT_LOGGED, {"result": "x", "known": "fuel"}),
        (FactKind.RESULT_LOGGED, {"result": "x", "outcome_of": "part"}),
        (FactKind.REPAIR_FAILED, {"fault": "coil"}),
        (FactKind.FINDING_REACHED, {"fault": "pump"}),
        (FactKind.RESULT_LOGGED, {"result": "x"}),
    )
    assert (told["tests"], told["decided"]) == (["told/spark-look", "no-start/spark-check"], "told/spark-look")
    assert (told["failed"], told["found"]) == (["coil"], "pump")


def test_only_the_last_reading_of_a_name_that_says_all_is_taught() -> None:
    """One without unit or number is none."""
    read = FactKind.READING_LOGGED
    told = taught(
        (read, {"name": "rest", "value": 12.6, "unit": "V", "band": "good"}),
        (read, {"name": "rest", "value": 11.9, "unit": "V", "band": "low"}),
        (read, {"name": "odd", "value": "many", "unit": "V"}),
        (read, {"name": "odd", "value": 1.0}),
    )
    assert told["readings"] == [{"name": "rest", "value": 11.9, "unit": "V", "good": False}]


@pytest.mark.parametrize(
    ("after", "days"), [("2031-05-31T09:00:00Z", True), ("2031-05-31T09:00:01Z", False), ("soon", False)]
)
def test_a_car_came_back_within_thirty_days(after: str, days: bool) -> None:
    """To the second; a time that is none proves nothing, and without a mileage only days count."""
    visits = [("demo1", "a", "2031-05-01T09:00:00Z", {}), ("demo1", "b", after, {})]
    assert bool(comebacks(visits)) == days

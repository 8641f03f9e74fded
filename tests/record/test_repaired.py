"""What became of a repair stands before the diagnosis that led to it, in box, invoice and voice."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime
from typing import Any

import jsonschema
import pytest

from assistant.facts import FactKind
from assistant.procedure.model import Proof
from assistant.record.build import build_record
from assistant.record.html import html_text
from assistant.record.invoice import invoice_text
from assistant.record.model import JobRecord, Outcome
from assistant.record.page import lay_out
from assistant.record.page.repair import diagnosed_words
from assistant.record.plain import json_text
from assistant.record.schema import record_schema
from assistant.record.spoken import read_aloud
from tests.record.sample_job import PROCEDURE, PROCEDURES, Bench, sample_job

NAMES = {"crank-sensor": "a faulty crank sensor", "fuel-pump": "a dead fuel pump"}
FINDING = {
    "fault": "crank-sensor",
    "standing": "not-proved",
    "odds": {"crank-sensor": 0.83, "fuel-pump": 0.12},
    "by_odds": "Not proved by the odds: a faulty crank sensor, about eight in ten.",
    "customer": "It has to be replaced.",
    "advice": "Replace it.",
}
HELD = {
    "fault": "start-holds",
    "say": "It starts and runs again.",
    "proved": ["It started twice."],
    "untested": ["Cold start after a night."],
    "advice": "Hand the car over.",
    "customer": "Your car starts and runs. We tested it twice.",
}
CAME_BACK = HELD | {"fault": "codes-came-back", "say": "It starts and runs, but codes came back."}
CAME_BACK |= {"customer": "Your car starts again. The memory still shows a fault."}
FAILED = {"fault": "not-mended", "say": "The repair did not cure it.", "customer": "We go on looking."}
DONE = (FactKind.REPAIR_DONE, {"fault": "crank-sensor", "minutes": 45.0})
CONFIRMED = (FactKind.REPAIR_CONFIRMED, {"fault": "crank-sensor", "by": "recheck", "minutes": 45.0})
ENDED = (FactKind.JOB_ENDED, {"finding": True})


def same(when: datetime) -> datetime:
    """Times of day as they were recorded."""
    return when


def told(bench: Bench, *facts: tuple[FactKind, dict[str, Any]], check: dict[str, Any] | None = None) -> JobRecord:
    """The record of a job with a finding that is not proved, then these facts; `check` after the first."""
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", FINDING, after_s=4)
    for at, (kind, data) in enumerate(facts):
        bench.add(kind, None, data, after_s=60)
        if check is not None and at == 0:
            bench.add(FactKind.STEP_ENTERED, "look", {"how": "check"}, after_s=1, procedure="recheck-start")
            bench.add(FactKind.FINDING_REACHED, "holds", check, after_s=300, procedure="recheck-start")
    return build_record(bench.entries(), PROCEDURES, NAMES)


@pytest.fixture
def bench() -> Bench:
    """A job up to its finding."""
    return sample_job(ended=False)


def whole(record: JobRecord) -> str:
    """All that box, customer and invoice say."""
    page = lay_out(record, same)
    parts = " ".join(f"{name}: {words}" for name, words in page.finding_parts)
    return f"{page.headline} {parts} {page.customer} {invoice_text(record, same)} {' '.join(read_aloud(record))}"


def test_a_cure_comes_first_in_box_invoice_and_voice(bench: Bench) -> None:
    """Nothing says any more that it is not proved or has to be replaced; how likely it was held is told."""
    record = told(bench, DONE, CONFIRMED, ENDED, check=HELD)
    page = lay_out(record, same)
    first = "Repaired: a faulty crank sensor, confirmed by the check after the repair."
    assert page.headline == first
    parts = dict(page.finding_parts)
    assert parts["Diagnosis was"] == "a faulty crank sensor, 83 % likely"
    assert parts["Its check showed"] == "It started twice"
    assert parts["Next step"] == "Hand the car over."
    assert page.customer == "We repaired: a faulty crank sensor. Your car starts and runs. We tested it twice."
    assert f"{first} The diagnosis was: a faulty crank sensor, 83 % likely." in invoice_text(record, same)
    assert first in read_aloud(record)
    for gone in ("Not proved", "has to be replaced", "Replace it"):
        assert gone not in whole(record)
    assert first in html_text(record, same)
    jsonschema.Draft202012Validator(record_schema()).validate(json.loads(json_text(record)))


def test_a_repair_whose_check_ends_otherwise_is_told_with_what_it_said(bench: Bench) -> None:
    """Codes that came back are no cure, and the box does not claim one."""
    record = told(bench, DONE, ENDED, check=CAME_BACK)
    page = lay_out(record, same)
    assert page.headline == "Repaired: a faulty crank sensor. It starts and runs, but codes came back."
    assert "The memory still shows a fault." in page.customer
    assert "confirmed" not in whole(record)
    assert "has to be replaced" not in whole(record)


def test_a_repair_that_did_not_cure_is_told_first_until_something_else_is_found(bench: Bench) -> None:
    """By its name; a later finding then leads, with the repair beside it and on the invoice."""
    failed = (FactKind.REPAIR_FAILED, {"fault": "crank-sensor", "minutes": 45.0})
    record = told(bench, DONE, failed, check=FAILED)
    assert lay_out(record, same).headline == "Repaired without cure: a faulty crank sensor."
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", FINDING | {"fault": "fuel-pump", "say": "It is the pump."})
    record = build_record(bench.entries(), PROCEDURES, NAMES)
    assert record.repair is None
    assert lay_out(record, same).headline == "Not proved yet. It is the pump."
    for words in (invoice_text(record, same), lay_out(record, same).customer):
        assert "Repair without cure: a faulty crank sensor, 45 min." in words


def test_a_repair_that_was_not_checked_says_so(bench: Bench) -> None:
    """Neither cured nor still to be replaced."""
    record = told(bench, DONE, ENDED)
    assert lay_out(record, same).headline == "Repaired and not checked: a faulty crank sensor."
    assert "has to be replaced" not in whole(record)


def test_the_desk_confirms_another_fault_with_or_without_a_finding(bench: Bench) -> None:
    """What cured it stands first, the diagnosis after it, each with its odds."""
    pump = (FactKind.REPAIR_CONFIRMED, {"fault": "fuel-pump", "by": "desk"})
    record = told(bench, ENDED, pump)
    page = lay_out(record, same)
    assert page.headline == "Repaired: a dead fuel pump, confirmed by the desk, after the job."
    was = "a faulty crank sensor, 83 % likely; a dead fuel pump, 12 % likely"
    assert dict(page.finding_parts)["Diagnosis was"] == was
    bare = sample_job(ended=False)
    bare.add(*ENDED[:1], None, {})
    bare.add(pump[0], None, pump[1])
    page = lay_out(build_record(bare.entries(), PROCEDURES, NAMES), same)
    assert page.headline.startswith("Repaired: a dead fuel pump")
    assert dict(page.finding_parts)["Diagnosis was"] == "without a finding; a dead fuel pump, 4 % likely"


def test_a_confirmation_that_was_taken_back_claims_no_cure(bench: Bench) -> None:
    """The check had held, the car came back: the box says both."""
    record = told(bench, DONE, CONFIRMED, ENDED, (FactKind.REPAIR_CONFIRMED, {"fault": None, "by": "desk"}), check=HELD)
    page = lay_out(record, same)
    assert page.headline.startswith("Not counted as cured any more: a faulty crank sensor. Confirmed by the check")
    assert "starts and runs" not in page.customer


def test_a_check_of_no_repair_that_was_told_is_none_of_it(bench: Bench) -> None:
    """Where the desk confirms what nobody said was done, an older check tells nothing of it."""
    repair = told(bench, CONFIRMED, ENDED, check=HELD).repair
    assert repair is not None
    assert (repair.check, repair.shown, repair.customer) == ("", (), "")


def test_a_check_of_an_earlier_repair_tells_nothing_of_the_next(bench: Bench) -> None:
    """What was repaired after the check is not checked."""
    again = (FactKind.REPAIR_DONE, {"fault": "fuel-pump", "minutes": 20.0})
    repair = told(bench, DONE, again, ENDED, check=HELD).repair
    assert repair is not None
    assert (repair.fault, repair.outcome, repair.check, repair.minutes) == ("fuel-pump", Outcome.UNCHECKED, "", 20.0)


@pytest.mark.parametrize(("proof", "outcome"), [(Proof.HOLDS, Outcome.CURED), (None, Outcome.UNSURE)])
def test_a_repair_of_nothing_named_is_cured_where_its_check_holds(
    bench: Bench, proof: Proof | None, outcome: Outcome
) -> None:
    """No fact of its own confirms it: the finding that the check came to does."""
    found = PROCEDURE.step("no-spark-found")
    assert found.finding is not None
    held = replace(found, id="holds", finding=replace(found.finding, repair=proof))
    check = replace(PROCEDURE, id="recheck-start", steps=(held,))
    told(bench, (FactKind.REPAIR_DONE, {"minutes": 45.0}), ENDED, check=HELD)
    repair = build_record(bench.entries(), PROCEDURES | {check.id: check}, NAMES).repair
    assert repair is not None and (repair.outcome, repair.fault) == (outcome, "")


@pytest.mark.parametrize(("minutes", "said"), [(0.4, "less than a minute"), (1.2, "one minute"), (1.6, "2 minutes")])
def test_how_long_the_work_took_is_said_in_whole_minutes(bench: Bench, minutes: float, said: str) -> None:
    """One is one, and none is less than one."""
    record = replace(told(bench, ENDED), minutes=minutes)
    assert f", {said} of work, " in read_aloud(record)[0]


@pytest.mark.parametrize(
    ("found", "mended", "odds", "said"),
    [
        (None, "coil-dead", None, "without a finding"),
        ("crank-sensor", "crank-sensor", None, "crank sensor, by its tests alone"),
        ("crank-sensor", "coil-dead", None, "The ignition makes no spark"),
        ("crank-sensor", "crank-sensor", {"crank-sensor": 0.62}, "crank sensor, 62 % likely"),
        ("crank-sensor", "coil-dead", {"crank-sensor": 0.62}, "crank sensor, 62 % likely"),
        ("crank-sensor", "coil-dead", {"coil-dead": 0.31}, "The ignition makes no spark; coil dead, 31 % likely"),
        (None, "coil-dead", {"coil-dead": 0.31}, "without a finding; coil dead, 31 % likely"),
        (
            "crank-sensor",
            "coil-dead",
            {"crank-sensor": 0.6, "coil-dead": 0.3},
            "crank sensor, 60 % likely; coil dead, 30 % likely",
        ),
    ],
)
def test_what_the_diagnosis_was_is_told_with_the_odds_that_there_were(
    found: str | None, mended: str, odds: dict[str, float] | None, said: str
) -> None:
    """That of what was repaired beside it, where that was another fault; no odds are made up."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    if odds is not None:
        bench.add(FactKind.PLAN_CHANGED, None, {"odds": odds})
    if found is not None:
        bench.add(FactKind.FINDING_REACHED, "no-spark-found", {"fault": found})
    bench.add(FactKind.REPAIR_DONE, None, {"fault": mended})
    record = build_record(bench.entries(), PROCEDURES)
    assert record.repair is not None
    assert diagnosed_words(record, record.repair) == said

"""The documents of one made-up job and one made-up month are those that were looked at.

After a change on purpose run this with KEEP_DOCUMENTS=1, look at the files in `kept/`, and keep them.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from assistant.facts import FactKind
from assistant.record.build import build_record
from assistant.record.csv_text import csv_text
from assistant.record.html import html_text
from assistant.record.invoice import invoice_text
from assistant.record.model import JobRecord
from assistant.record.month_page import month_html
from assistant.record.page import lay_out
from assistant.record.page.columns import two_abreast
from assistant.record.plain import json_text
from assistant.record.shop_month import month_of
from assistant.record.spoken import read_aloud
from assistant.record.taught import taught_by
from tests.record.sample_job import PROCEDURES, Bench, sample_job

KEPT = Path(__file__).with_name("kept")
NAMES = {"crank-sensor": "a faulty crank sensor", "fuel-pump": "a dead fuel pump"}


def same(when: datetime) -> datetime:
    """Times of day as they were recorded."""
    return when


def whole_job() -> Bench:
    """The sample job, with what it lacks: an engine that caught, told tests, what was left, a repair that held."""
    bench = sample_job(ended=False)
    add = bench.add
    for name, value in {"make": "Invented", "model": "Longnose", "year": "2009", "technician": "Sam Invented"}.items():
        add(FactKind.VEHICLE_NOTED, None, {"fact": name, "value": value})
    add(FactKind.STEP_ENTERED, "spark-check", {"how": "again"}, after_s=20)
    told = {"test": "spark-look", "result": "none", "words": "I found no spark", "says": "there is no spark"}
    add(FactKind.TEST_TOLD, "spark-check", told, after_s=4)
    add(FactKind.STEP_SKIPPED, "spark-check", {"words": "no tester", "reason": "no-tool"}, after_s=4)
    add(FactKind.ACTION_BEGUN, "spark-check", {"action": "spray", "begin_s": bench.at_s}, after_s=4)
    add(FactKind.ACTION_ENDED, "spark-check", {"action": "spray", "end_s": bench.at_s + 1}, after_s=1)
    add(FactKind.WAIT_BEGUN, "spark-check", {"until_s": bench.at_s + 60}, after_s=1)
    add(FactKind.WAIT_ENDED, "spark-check", after_s=60)
    sound = {
        "before_s": 1.0,
        "step_s": 0.1,
        "loud_db": [-60.0] * 10 + [-30.0] * 30 + [-60.0] * 10,
        "speed_at_s": [0.5, 1.5, 2.5],
        "pulses_hz": [6.2, 6.4, 6.3],
    }
    heard = {"start_s": bench.at_s + 10, "end_s": bench.at_s + 13, "seconds": 3.0, "rpm": 190.0, "by": "ear"}
    heard |= {"caught": True, "run_s": 2.5, "confidence": 0.8, "sound": sound}
    add(FactKind.BURST_BEGUN, "battery-cranking", after_s=10)
    add(FactKind.BURST_ENDED, "battery-cranking", heard, after_s=3)
    ear = {"result": "no-spark", "words": "no spark", "ear_result": "spark", "ear_words": "spark present"}
    add(FactKind.RESULT_LOGGED, "spark-check", ear, after_s=3)
    add(FactKind.ITEM_LEFT_OFF, "spark-check", {"item": "engine cover", "said": "left off"}, after_s=9)
    finding = {"fault": "crank-sensor", "standing": "not-proved", "odds": {"crank-sensor": 0.83, "fuel-pump": 0.12}}
    finding |= {"by_odds": "Not proved by the odds: a faulty crank sensor, about eight in ten."}
    add(FactKind.STEP_ENTERED, "no-spark-found", after_s=2)
    add(FactKind.FINDING_REACHED, "no-spark-found", finding, after_s=4)
    add(FactKind.REPAIR_DONE, None, {"fault": "crank-sensor", "minutes": 45.0}, after_s=2700)
    held = {"fault": "start-holds", "say": "It starts and runs again.", "proved": ["It started twice."]}
    held |= {"untested": ["Cold start after a night."], "advice": "Hand the car over.", "customer": "Your car runs."}
    add(FactKind.STEP_ENTERED, "look", {"how": "check"}, after_s=1, procedure="recheck-start")
    add(FactKind.FINDING_REACHED, "holds", held, after_s=300, procedure="recheck-start")
    add(FactKind.REPAIR_CONFIRMED, None, {"fault": "crank-sensor", "by": "recheck", "minutes": 45.0}, after_s=3)
    add(FactKind.JOB_ENDED, None, {"finding": True}, after_s=5)
    return bench


def record() -> JobRecord:
    """The record of that job."""
    return build_record(whole_job().entries(), PROCEDURES, NAMES)


def _page(text: str) -> str:
    """A document without its style, a line for each piece."""
    bare = re.sub(r"<style>.*?</style>", "", text, flags=re.DOTALL)
    return re.sub(r"\n\s*\n+", "\n", bare.replace("><", ">\n<"))


def _plain() -> str:
    """The record's JSON but for its facts, a line for each piece."""
    told = json.loads(json_text(record()))
    assert len(told.pop("facts")) == len(whole_job().entries())
    pieces = ((name, each) for name, value in told.items() for each in (value if isinstance(value, list) else [value]))
    return "\n".join(f"{name}: {json.dumps(each)}" for name, each in pieces)


def _words() -> str:
    """All that is told of the job beside its page: invoice, voice, columns on paper, what it teaches, a spreadsheet."""
    made = record()
    strips = two_abreast(lay_out(made, same).tables)
    columns = [
        "\n".join(f"  {side}: {one.title} {one.columns} {len(one.rows)}" for one in tables)
        for strip in strips
        for side, tables in zip(("left", "right"), strip, strict=False)
    ]
    taught = [f"{name}: {value}" for name, value in taught_by(whole_job().entries()).items()]
    parts = (invoice_text(made, same), "\n".join(read_aloud(made)), "\n".join(columns), "\n".join(taught))
    return "\n\n".join((*parts, csv_text(made)))


def _month() -> str:
    """A month of three jobs, one of which came back, beside the month before."""
    coil = {"found": "coil", "minutes": 75.0, "tests": ["s/a", "s/b"], "decided": "s/a", "steps": {"s/a": 65.0}}
    pump = {
        "found": "pump",
        "minutes": 20.0,
        "tests": ["s/b"],
        "decided": "s/b",
        "repaired": "pump",
        "failed": ["coil"],
    }
    days = [("2031-05-03T09:00:00Z", coil), ("2031-05-03T11:00:00Z", pump), ("2031-05-09T11:00:00Z", {})]
    visits = [
        ("demo1", "first", "2031-04-20T09:00:00Z", {"km": 1000.0, "repaired": "coil"}),
        ("demo1", "second", "2031-05-03T09:00:00Z", {"km": 1400.0, "found": "pump"}),
    ]
    before = month_of("2031-04-01", "2031-05-01", [("2031-04-20T09:00:00Z", coil)], visits)
    return _page(month_html(month_of("2031-05-01", "2031-06-01", days, visits), "Bay Nine, invented", before=before))


DOCUMENTS: dict[str, Callable[[], str]] = {
    "job.html": lambda: _page(html_text(record(), same)),
    "job.json.txt": _plain,
    "job.txt": _words,
    "month.html": _month,
}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_is_the_one_that_was_looked_at(name: str) -> None:
    """Every word, number, row and line of it."""
    made = re.sub("[0-9a-f]{64}", "(hash)", DOCUMENTS[name]())  # of salted values, so of each run its own
    if os.environ.get("KEEP_DOCUMENTS"):
        (KEPT / name).write_text(made, encoding="utf-8")
    assert made.splitlines() == (KEPT / name).read_text(encoding="utf-8").splitlines()

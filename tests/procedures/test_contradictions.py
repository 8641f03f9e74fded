"""No report and no spoken finding of a known fault says one thing and its opposite."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from functools import cache
from html import unescape
from pathlib import Path

import pytest

from assistant.adapters.journal_memory import MemoryJournal
from assistant.procedure.model import Procedure
from assistant.reasoning.reader import read_model
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.record.build import build_record
from assistant.record.csv_text import csv_text
from assistant.record.html import html_text
from assistant.record.invoice import invoice_text
from assistant.record.page import lay_out
from assistant.record.plain import json_text
from assistant.record.spoken import read_aloud
from assistant.session.adviser import Adviser
from tests.procedures import contradictions, fault_player
from tests.procedures.contradictions import RULES, Report

FAULTS = {fault.name: fault for fault in fault_player.known_faults()}
USUAL = fault_player.usual_answers()
MODEL = Path(__file__).parents[2] / "procedures" / "no-start.faults.yaml"

NO_WORDS = re.compile(r"<style.*?</style>|<[^>]+>", re.DOTALL)
"""What of a page is not read."""

Library = Mapping[str, Procedure]


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    """The shipped fault model at work."""
    model = read_model(MODEL.name, MODEL.read_text(encoding="utf-8"))
    assert model is not None
    return make_reasoner(model)


@pytest.fixture(scope="module")
def report_of(shipped: Library, reasoner: Reasoner) -> Callable[[str], Report]:
    """The report of a known fault by its name, played once with the adviser thinking along."""

    @cache
    def make(name: str) -> Report:
        fault = FAULTS[name]
        thinks = fault.procedure == reasoner.model.id
        adviser = Adviser(reasoner, shipped) if thinks else None
        played = fault_player.play(shipped, fault, USUAL, *([adviser.think_over] if adviser else []))
        journal = MemoryJournal(lambda: "2031-05-01T09:12:00+00:00")
        journal.append(played.facts)
        record = build_record(journal.entries(name), shipped)
        texts = {
            "html": " ".join(unescape(NO_WORDS.sub(" ", html_text(record, _same))).split()),
            "invoice": invoice_text(record, _same),
            "csv": csv_text(record).replace(",", " "),
            "json": json_text(record),
            "aloud": " ".join(read_aloud(record)),
        }
        return Report(
            record=record,
            page=lay_out(record, _same),
            talk=tuple(played.talk),
            texts=texts,
            model=reasoner.model if thinks else None,
        )

    return make


def _same(when: datetime) -> datetime:
    return when


@pytest.mark.parametrize("name", FAULTS)
def test_a_report_never_contradicts_itself(report_of: Callable[[str], Report], name: str) -> None:
    """Proved and not, is and is not, low and passes, tested and not, spoken and printed: one of each only."""
    report = report_of(name)
    assert report.record.finding is not None
    assert [told for rule in RULES for told in rule(report)] == []


def _spoiled(report: Report) -> Iterator[tuple[str, Report]]:
    """The report with one contradiction in it, by the name of the rule that must notice."""
    found, page = report.record.finding, report.page
    assert found is not None

    def with_finding(**more: object) -> Report:
        return dataclasses.replace(
            report, record=dataclasses.replace(report.record, finding=dataclasses.replace(found, **more))
        )

    box = (*page.finding_parts, ("Not proved", "By the odds"), ("Proved", "All cylinders are low"))
    yield "both_proved_and_not", dataclasses.replace(report, page=dataclasses.replace(page, finding_parts=box))
    sure = {**report.texts, "invoice": "Not proved, another fault is likelier. Most likely the belt has slipped."}
    yield "likely_beside_likelier", dataclasses.replace(report, texts=sure)
    yield "standing_against_odds", with_finding(standing="by-test")
    yield "is_and_is_not", dataclasses.replace(report, talk=("The pump is not dead, the pump is dead.",))
    readings = page.table("readings")
    assert readings is not None
    one_verdict = dataclasses.replace(readings, note="Compression passes at 75 %.")
    tables = tuple(one_verdict if one.name == "readings" else one for one in page.tables)
    yield "two_verdicts_on_compression", dataclasses.replace(report, page=dataclasses.replace(page, tables=tables))
    yield "other_numbers", dataclasses.replace(report, texts={**report.texts, "csv": "413.69 kPa"})
    yield "untested_but_tested", with_finding(untested=("Compression and injectors.",))
    yield "spoken_otherwise", with_finding(title="It is something else.")


def test_each_rule_notices_its_contradiction(report_of: Callable[[str], Report]) -> None:
    """A rule that lets its own contradiction pass would prove nothing."""
    spoiled = dict(_spoiled(report_of("belt-jumped")))
    assert set(spoiled) == {rule.__name__ for rule in RULES}
    for name, report in spoiled.items():
        assert list(getattr(contradictions, name)(report)), name


def test_compression_is_printed_as_the_gauge_showed_it(report_of: Callable[[str], Report]) -> None:
    """Sixty p s i stays 60 psi: low by the floor, even by the share, and both are said by name."""
    texts = report_of("belt-jumped").texts
    assert "60 psi" in texts["html"] and "low (below 100 psi)" in texts["html"]
    for text in (texts["html"], texts["aloud"]):
        assert "venness passes" in text
        assert "evel fails" in text
    assert "413.69" not in texts["html"] + texts["invoice"] + texts["csv"] + texts["aloud"]

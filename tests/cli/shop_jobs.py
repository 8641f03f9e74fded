"""Invented jobs of a shop for the tests of its commands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.facts import Fact, FactKind
from tests.ports.journal_suite import fact

BAY, DESK, OWNER = "hoodside_bay", "hoodside_desk", "hoodside_owner"
ENDED = 1


def job(name: str, key: str, **more: object) -> list[Fact]:
    """A job of an invented car: what was told, one reading, one test, a finding, a repair."""
    noted = {"plate": "DEMO 42", "make": "Nimbus", "model": "Cirrus", "year": "2019", "mileage": "80,000 km"} | more
    told = [(FactKind.JOB_STARTED, {"key": key})]
    told += [(FactKind.VEHICLE_NOTED, {"fact": name_, "value": value}) for name_, value in noted.items()]
    told += [
        (FactKind.VEHICLE_NOTED, {"fact": "technician", "value": "Sam Bay"}),
        (FactKind.STEP_ENTERED, {}),
        (FactKind.READING_LOGGED, {"name": "battery at rest", "value": 12.6, "unit": "V", "band": "good"}),
        (FactKind.NOTE_TAKEN, {"words": "ring the owner"}),
        (FactKind.RESULT_LOGGED, {"result": "none"}),
        (FactKind.FINDING_REACHED, {"fault": "crank-sensor"}),
        (FactKind.JOB_ENDED, {}),
        (FactKind.REPAIR_CONFIRMED, {"fault": "crank-sensor"}),
    ]
    numbered = enumerate(told, start=1)
    return [fact(at, job=name, key=key, kind=kind, data=data, at_s=60.0 * at) for at, (kind, data) in numbered]


def keep(folder: Path, facts: list[Fact], day: str = "2031-05-01") -> None:
    """Record them at that bay, on that day."""
    journal = SqliteJournal(folder, lambda: f"{day}T09:00:00.000Z")
    journal.append(facts)
    journal.close()


def lines(capsys: pytest.CaptureFixture[str]) -> list[dict[str, object]]:
    """What was printed as JSON lines."""
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]

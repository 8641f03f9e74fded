"""What one job teaches the shop, told in a few JSON values that name nobody: minutes, tests, readings, repairs.

It follows from the facts alone, so that a desk may work it out anew. A test is a step with an answer; it *decided*
where its answer was the last before the finding. A reading is *known good* where its band is the good one, or where it
was the last of its name in a job whose repair was confirmed, taken after that repair.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from typing import Any

from assistant.errors import RecordError
from assistant.facts import (
    Fact,
    FactKind,
    FindingReached,
    ReadingLogged,
    RepairConfirmed,
    RepairFailed,
    ResultLogged,
    TestTold,
    VehicleNoted,
)
from assistant.record.chain import UNREADABLE, Entry
from assistant.record.timed import step_times
from assistant.record.walk import Walk, walk
from assistant.record.wording import known

GOOD = "good"
"""The band of readings that are as they should be."""
MODEL = ("make", "model", "year")
MILEAGE = ("mileage", "odometer", "kilometres", "miles")
KM_A_MILE = 1.609344
"""Source: international yard and pound agreement, 1959; a mile is 1609.344 m."""
_MILES = re.compile(r"\bmi(les?)?\b", re.IGNORECASE)
_DIGITS = re.compile(r"\d[\d ,.']*")


def taught_by(entries: Sequence[Entry]) -> dict[str, Any]:
    """What the job teaches; empty for a job whose facts cannot be read."""
    try:
        read = walk(entries, {})
        return _taught(read)
    except (RecordError, *UNREADABLE):
        return {}


def _taught(read: Walk) -> dict[str, Any]:
    noted = _noted(read)
    told: dict[str, Any] = {name: noted[name] for name in MODEL if name in noted}
    km = next((found for name in MILEAGE if name in noted and (found := _km(name, noted[name])) is not None), None)
    if km is not None:
        told["km"] = km
    steps = step_times(read)
    told["minutes"] = round(sum(one.spent_min for one in steps), 1)
    told["steps"] = {f"{one.procedure}/{one.step}": one.spent_min for one in steps if one.spent_min}
    stands = [fact for fact in read.facts if fact.id not in read.struck_by]
    finding = next((fact for fact in reversed(stands) if fact.kind is FactKind.FINDING_REACHED), None)
    tests = list(dict.fromkeys(_name(fact) for fact in stands if _is_answer(fact)))
    if tests:
        told["tests"] = tests
    if finding is not None:
        told["found"] = finding.shows(FindingReached).fault or finding.step or ""
        before = [fact for fact in stands if fact.number < finding.number and _is_answer(fact)]
        if before:
            told["decided"] = _name(before[-1])
    repaired = [said.fault for fact in stands if isinstance(said := fact.legible, RepairConfirmed)]
    if repaired and repaired[-1]:
        told["repaired"] = repaired[-1]
    failed = [said.fault for fact in stands if isinstance(said := fact.legible, RepairFailed)]
    if failed:
        told["failed"] = failed
    readings = _readings(stands, mended="repaired" in told)
    if readings:
        told["readings"] = readings
    return told


def _noted(read: Walk) -> dict[str, str]:
    told: dict[str, str] = {}
    for fact in read.of(FactKind.VEHICLE_NOTED):
        said = fact.shows(VehicleNoted)
        if fact.id not in read.struck_by and said.fact and said.value:
            told[said.fact] = str(said.value)
    return told


def _is_answer(fact: Fact) -> bool:
    """Whether somebody gave it there: not what was known before, nor the outcome of a part."""
    said = fact.legible
    return isinstance(said, ReadingLogged | TestTold) or (isinstance(said, ResultLogged) and not said.unsaid)


def _name(fact: Fact) -> str:
    said = fact.legible
    return f"told/{said.test}" if isinstance(said, TestTold) else f"{fact.procedure}/{fact.step}"


def _readings(stands: Sequence[Fact], *, mended: bool) -> list[dict[str, Any]]:
    """Each name's last reading, with whether it is known good."""
    done = next((fact.number for fact in reversed(stands) if fact.kind is FactKind.REPAIR_DONE), None)
    last: dict[str, dict[str, Any]] = {}
    for fact in stands:
        if isinstance(said := fact.legible, ReadingLogged):
            value, name = known(said.value), said.name or fact.step
            if value is not None and name and said.unit:
                good = said.band == GOOD or (mended and done is not None and fact.number > done)
                last[name] = {"name": name, "value": value, "unit": said.unit, "good": good}
    return list(last.values())


def _km(name: str, words: str) -> float | None:
    """A mileage in kilometres; None where it holds no number. Without a unit it is taken as kilometres."""
    found = _DIGITS.search(words)
    with suppress(ValueError):
        if found is not None:
            value = float(re.sub(r"[ ,.']", "", found[0]))
            return round(value * KM_A_MILE if name == "miles" or _MILES.search(words) else value, 1)
    return None

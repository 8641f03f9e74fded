"""What the jobs of some days teach the shop together: counts, minutes, tests, comebacks. Plain values in and out."""

from __future__ import annotations

import statistics
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

COMEBACK_DAYS = 30
COMEBACK_KM = 1_000.0
"""A car that is back within so many days, or so many kilometres, is a comeback. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """Minutes of a finding or a test. `count`: jobs that had it."""

    name: str
    count: int
    median_min: float
    total_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """How often a test was the last before a finding, of the jobs in which it was done."""

    test: str
    done: int
    decided: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Comeback:
    """A car that came back. `days`: from one job's beginning to the next one's. `km`: None where it was not told."""

    job: str
    before: str
    started_utc: str
    days: float
    km: float | None
    found_before: str
    found: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """Some days of the shop. `since` and `until`: ISO 8601 days, until being left out. `by_day`: jobs begun, by day.

    `median_min`: of the jobs with a finding, None where there is none."""

    since: str
    until: str
    jobs: int
    found: int
    repaired: int
    failed: int
    median_min: float | None
    by_day: tuple[tuple[str, int], ...]
    findings: tuple[Spent, ...]
    tests: tuple[Spent, ...]
    decided: tuple[Decided, ...]
    comebacks: tuple[Comeback, ...]


Told = Mapping[str, Any]
Visit = tuple[str, str, str, Told]
"""Car, job, begun (ISO 8601), what the job teaches."""


def month_of(since: str, until: str, taught: Iterable[tuple[str, Told]], visits: Sequence[Visit]) -> Month:
    """The days together. `taught`: when each job began and what it teaches, by `record.taught`."""
    jobs = list(taught)
    told = [one for _, one in jobs]
    days = Counter(started[:10] for started, _ in jobs)
    return Month(
        since=since,
        until=until,
        jobs=len(jobs),
        found=sum("found" in one for one in told),
        repaired=sum("repaired" in one for one in told),
        failed=sum(len(one.get("failed", ())) for one in told),
        median_min=_median([float(one.get("minutes", 0.0)) for one in told if "found" in one]),
        by_day=tuple(sorted(days.items())),
        findings=minutes_by_finding(told),
        tests=minutes_by_test(told),
        decided=decided_by(told),
        comebacks=tuple(one for one in comebacks(visits) if since <= one.started_utc < until),
    )


def minutes_by_finding(told: Iterable[Told]) -> tuple[Spent, ...]:
    """Minutes of whole jobs by what they came to, the commonest first."""
    spent: dict[str, list[float]] = defaultdict(list)
    for one in told:
        if "found" in one:
            spent[str(one["found"])].append(float(one.get("minutes", 0.0)))
    return _spent(spent)


def minutes_by_test(told: Iterable[Told]) -> tuple[Spent, ...]:
    """Minutes by step, over the jobs that had it, the commonest first."""
    spent: dict[str, list[float]] = defaultdict(list)
    for one in told:
        for step, minutes in one.get("steps", {}).items():
            spent[str(step)].append(float(minutes))
    return _spent(spent)


def decided_by(told: Iterable[Told]) -> tuple[Decided, ...]:
    """How often each test decided, the most often first."""
    done: Counter[str] = Counter()
    decided: Counter[str] = Counter()
    for one in told:
        done.update(one.get("tests", ()))
        if "decided" in one:
            decided[str(one["decided"])] += 1
    rows = (Decided(test=test, done=count, decided=decided[test]) for test, count in done.items())
    return tuple(sorted(rows, key=lambda row: (-row.decided, -row.done, row.test)))


def comebacks(visits: Sequence[Visit]) -> tuple[Comeback, ...]:
    """Each visit that follows another one of the same car within the days or the kilometres, by its day."""
    found: list[Comeback] = []
    for (car, before, began_before, told_before), (again, job, began, told) in pairwise(visits):
        if car != again or before == job:
            continue
        days = _days(began_before, began)
        km = None
        if "km" in told and "km" in told_before:
            km = round(float(told["km"]) - float(told_before["km"]), 1)
        if days is None or not (days <= COMEBACK_DAYS or (km is not None and 0 <= km <= COMEBACK_KM)):
            continue
        found.append(
            Comeback(
                job=job,
                before=before,
                started_utc=began,
                days=round(days, 1),
                km=km,
                found_before=str(told_before.get("repaired") or told_before.get("found") or ""),
                found=str(told.get("repaired") or told.get("found") or ""),
            )
        )
    return tuple(sorted({one.job: one for one in found}.values(), key=lambda one: one.started_utc))


def _median(minutes: Sequence[float]) -> float | None:
    return round(statistics.median(minutes), 1) if minutes else None


def _spent(spent: Mapping[str, list[float]]) -> tuple[Spent, ...]:
    rows = (
        Spent(
            name=name,
            count=len(minutes),
            median_min=round(statistics.median(minutes), 1),
            total_min=round(sum(minutes), 1),
        )
        for name, minutes in spent.items()
    )
    return tuple(sorted(rows, key=lambda row: (-row.count, -row.total_min, row.name)))


def _days(before: str, after: str) -> float | None:
    try:
        return (datetime.fromisoformat(after) - datetime.fromisoformat(before)).total_seconds() / 86_400
    except (ValueError, TypeError):
        return None

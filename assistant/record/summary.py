"""One line about a job, for lists and searches: derived from its facts and holding nothing personal."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.facts import Fact, FactKind
from assistant.reasoning.standing import lead
from assistant.record.personal import OWNER_KEYS
from assistant.record.read_fact import mapping, text

SUMMARISED = frozenset(
    {
        FactKind.JOB_STARTED,
        FactKind.VEHICLE_NOTED,
        FactKind.FINDING_REACHED,
        FactKind.STRUCK,
        FactKind.WENT_BACK,
        FactKind.JOB_ENDED,
    }
)
"""Kinds that can change the line; every other fact leaves it as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """`vehicle`: what was told of it, as `name value` pairs. `finding_fact`: id of the fact that says the finding."""

    job: str
    started_utc: str = ""
    procedure: str = ""
    vehicle: str = ""
    finding: str = ""
    finding_fact: str = ""
    ended: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JobQuery:
    """What to look for; every part that is given must hold. Words match anywhere, whatever their case.

    `vehicle` also finds a plate or VIN. `since` and `until`: ISO 8601 days or times in UTC, until being left out.
    `most`: at most so many, newest first.
    """

    words: tuple[str, ...] = ()
    vehicle: tuple[str, ...] = ()
    finding: tuple[str, ...] = ()
    since: str | None = None
    until: str | None = None
    ended: bool | None = None
    most: int = 50


def summarise(summary: Summary, fact: Fact, recorded_utc: str) -> Summary:
    """The line after one more fact."""
    if fact.kind is FactKind.JOB_STARTED:
        return replace(
            summary,
            started_utc=text(fact.data, "started_utc") or recorded_utc,
            procedure=fact.procedure or text(fact.data, "procedure") or "",
        )
    if fact.kind is FactKind.VEHICLE_NOTED:
        name = text(fact.data, "fact")
        return replace(summary, vehicle=_with(summary.vehicle, name, text(fact.data, "value")))
    if fact.kind is FactKind.FINDING_REACHED:
        told = {**fact.data, **mapping(fact.data, "finding")}
        doubt = lead(text(told, "standing") or "").lower()
        parts = (text(told, "fault"), fact.step, text(told, "title", "say"), f"({doubt})" if doubt else "")
        found = " ".join(dict.fromkeys(part for part in parts if part))
        return replace(summary, finding=found, finding_fact=fact.id)
    gone = fact.kind is FactKind.STRUCK and fact.data.get("struck") == summary.finding_fact
    if gone or fact.kind is FactKind.WENT_BACK:  # a finding that was gone back from no longer stands
        return replace(summary, finding="", finding_fact="")
    if fact.kind is FactKind.JOB_ENDED:
        return replace(summary, ended=True)
    return summary


def searchable(words: str) -> str:
    """Words as they are compared: case folded, hyphens as blanks."""
    return words.casefold().replace("-", " ")


def matches(summary: Summary, query: JobQuery, personal: tuple[str, ...] = ()) -> bool:
    """Whether the line answers the query; `personal`: plate, VIN and the like, compared for `vehicle` only."""
    everything = searchable(f"{summary.job} {summary.procedure} {summary.vehicle} {summary.finding}")
    vehicle = searchable(" ".join((summary.vehicle, *personal)))
    return (
        all(searchable(word) in everything for word in query.words)
        and all(searchable(word) in vehicle for word in query.vehicle)
        and all(searchable(word) in searchable(summary.finding) for word in query.finding)
        and (query.since is None or summary.started_utc >= query.since)
        and (query.until is None or summary.started_utc < query.until)
        and (query.ended is None or summary.ended is query.ended)
    )


def _with(vehicle: str, name: str | None, value: str | None) -> str:
    """The pairs with this one added or replaced; a pair is written `name=value`, pairs are parted by `; `."""
    if name is None or value is None or name.lower() in OWNER_KEYS:
        return vehicle
    pairs = dict(pair.partition("=")[::2] for pair in vehicle.split("; ") if pair)
    pairs[name.replace("; ", " ").replace("=", " ")] = value.replace("; ", " ")
    return "; ".join(f"{key}={words}" for key, words in pairs.items())

"""One line about a job, for lists and searches: derived from its facts and holding nothing personal.

What personal values say is compared too, but kept apart from the line, so that it can be removed (`said_of`).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from assistant.facts import CodeLogged, Fact, FactKind, FindingReached, RepairConfirmed, Struck, VehicleNoted
from assistant.reasoning.standing import lead
from assistant.record.chain import UNREADABLE, Entry
from assistant.record.personal import FILE_KEYS, OWNER_KEYS, STAFF_KEYS, Belonging

SUMMARISED = frozenset(
    {
        FactKind.JOB_STARTED,
        FactKind.VEHICLE_NOTED,
        FactKind.CODE_LOGGED,
        FactKind.FINDING_REACHED,
        FactKind.REPAIR_CONFIRMED,
        FactKind.STRUCK,
        FactKind.WENT_BACK,
        FactKind.JOB_ENDED,
    }
)
"""Kinds that can change the line; every other fact leaves it as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """`vehicle`: what was told of it, as `name value` pairs. `finding_fact`: id of the fact that says the finding.

    `job`: what it is called here. `codes`: fault codes that stand, each with the id of its fact.
    """

    job: str
    started_utc: str = ""
    procedure: str = ""
    vehicle: str = ""
    finding: str = ""
    finding_fact: str = ""
    codes: tuple[tuple[str, str], ...] = ()
    ended: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JobQuery:
    """What to look for; every part that is given must hold. Words match anywhere, whatever their case.

    `words`: each in the job's name, procedure, vehicle, finding, fault codes, complaint, notes and other free words,
    plate, VIN or owner. `vehicle`: in what was told of it, plate, VIN or owner. Plates, codes and the like are found in
    any spelling: DEMO-42 as demo42. `since` and `until`: ISO 8601 days or times in UTC, until being left out.
    `most`: at most so many, those begun last first.
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
        return replace(summary, started_utc=recorded_utc, procedure=fact.procedure or "")
    said = fact.legible
    if isinstance(said, VehicleNoted):
        return replace(summary, vehicle=_with(summary.vehicle, said.fact, str(said.value)))
    if isinstance(said, CodeLogged):
        return replace(summary, codes=(*summary.codes, (fact.id, said.code)))
    if isinstance(said, FindingReached):
        doubt = lead(said.standing or "").lower()
        parts = (said.fault, fact.step, said.say, f"({doubt})" if doubt else "")
        found = " ".join(dict.fromkeys(part for part in parts if part))
        return replace(summary, finding=found, finding_fact=fact.id)
    if isinstance(said, RepairConfirmed):
        found = _diagnosed(summary.finding)
        return replace(summary, finding=f"{REPAIRED}{said.fault}{AFTER}{found}" if said.fault else found)
    if isinstance(said, Struck):
        kept = tuple(pair for pair in summary.codes if pair[0] != said.struck)
        summary = summary if kept == summary.codes else replace(summary, codes=kept)
    gone = isinstance(said, Struck) and said.struck == summary.finding_fact
    if gone or fact.kind is FactKind.WENT_BACK:  # a finding that was gone back from no longer stands
        return replace(summary, finding="", finding_fact="")
    if fact.kind is FactKind.JOB_ENDED:
        return replace(summary, ended=True)
    return summary


REPAIRED, AFTER = "repaired ", "; found "
"""Around the fault whose repair was confirmed, before the finding that led to it."""


def _diagnosed(finding: str) -> str:
    """The finding without a repair before it."""
    return finding.partition(AFTER)[2] if finding.startswith(REPAIRED) else finding


def summary_from(entries: Iterable[Entry], job: str) -> Summary:
    """The line of a job, which is called so here, by its facts; what cannot be read is passed over."""
    summary = Summary(job=job)
    for entry in entries:
        if any(f'"kind":"{kind.value}"' in entry.body for kind in SUMMARISED):
            with suppress(*UNREADABLE):  # a line for searching must not stand in the way of keeping the facts
                summary = summarise(summary, entry.fact(), entry.recorded_utc)
    return summary


def searchable(words: str) -> str:
    """Words as they are compared: case folded, hyphens as blanks, blanks made one."""
    return " ".join(words.casefold().replace("-", " ").split())


def tidied(words: str) -> str:
    """Letters and digits alone, case folded: as plates, VINs and fault codes are compared, however they are written."""
    return "".join(sign for sign in words.casefold() if sign.isalnum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a personal value says, as a search compares it: an owner's tidied, dictated words as words."""

    place: str
    belongs: Belonging
    words: str


def said_of(entry: Entry) -> tuple[Said, ...]:
    """What the entry's personal values say, as far as they are still there; names of files say nothing."""
    there = [one for one in entry.apart if one.value is not None and one.place.rpartition("/")[2] not in FILE_KEYS]
    return tuple(
        Said(
            place=one.place,
            belongs=one.belongs,
            words=(tidied if one.belongs is Belonging.OWNER else searchable)(str(json.loads(one.value or "null"))),
        )
        for one in there
    )


def line_of(summary: Summary) -> tuple[str, str, str]:
    """The line as it is compared: everything, the vehicle, the finding. Fault codes stand as said and tidied."""
    codes = " ".join(f"{code} {tidied(code)}" for _, code in summary.codes)
    everything = f"{summary.job} {summary.procedure} {summary.vehicle} {summary.finding} {codes}"
    return searchable(everything), searchable(summary.vehicle), searchable(summary.finding)


def wanted(words: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Each word that says something, as it is compared with words and with what is tidied."""
    return tuple((searchable(word), tidied(word)) for word in words if searchable(word))


def in_line(word: str, tidy: str) -> tuple[str, ...]:
    """The spellings of a word that are looked for in the line: as it is and, where it may be a code, tidied."""
    return (word, tidy) if tidy != word and any(sign.isdigit() for sign in tidy) else (word,)


def matches(summary: Summary, query: JobQuery, said: Sequence[Said] = ()) -> bool:
    """Whether the line answers the query; `said`: what the job's personal values say, by `said_of`."""
    everything, vehicle, finding = line_of(summary)
    owners = [one.words for one in said if one.belongs is Belonging.OWNER]
    free = [one.words for one in said if one.belongs is not Belonging.OWNER]

    def owned(tidy: str) -> bool:
        return bool(tidy) and any(tidy in words for words in owners)

    return (
        all(
            any(one in everything for one in in_line(word, tidy)) or owned(tidy) or any(word in words for words in free)
            for word, tidy in wanted(query.words)
        )
        and all(word in vehicle or owned(tidy) for word, tidy in wanted(query.vehicle))
        and all(word in finding for word, _ in wanted(query.finding))
        and (query.since is None or summary.started_utc >= query.since)
        and (query.until is None or summary.started_utc < query.until)
        and (query.ended is None or summary.ended is query.ended)
    )


SHOP_KEY = "shop"
"""Under which a job notes the shop's name, beside what it notes of the vehicle."""


def _with(vehicle: str, name: str, value: str) -> str:
    """The pairs with this one added or replaced; a pair is written `name=value`, pairs are parted by `; `."""
    if not name or not value or name.lower() in OWNER_KEYS | STAFF_KEYS | {SHOP_KEY}:
        return vehicle
    pairs = dict(pair.partition("=")[::2] for pair in vehicle.split("; ") if pair)
    pairs[name.replace("; ", " ").replace("=", " ")] = value.replace("; ", " ")
    return "; ".join(f"{key}={words}" for key, words in pairs.items())

"""Jobs as text that travels between machines: one JSON line for each job, with its whole chain.

An export holds the chained bodies as they are kept, so the machine that takes them checks the same hashes. With a job
go the texts that led it, once in a file, and what was removed of it on request. The last line is the seal (`seal`).
Whatever arrives is checked before a byte of it is kept; a file that was changed or made up is refused in words.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from assistant.procedure.digest import digest_of
from assistant.record.chain import UNREADABLE, Entry, Head, faults, head_of
from assistant.record.personal import SALT_BYTES, Apart, Belonging

FORMAT = "hoodside-export-1"
HASH_BYTES = 32
MOST_FAULTS = 5


class ForgedExport(ValueError):
    """What was handed in is no export, or it was changed; the message says where."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedHead:
    """A head that a report or export states, and the job it is of."""

    job: str
    head: Head


@dataclass(frozen=True, slots=True, kw_only=True)
class Travelling:
    """A job as it travels. `removals`: what was removed of it, each with `removed` (number and place), `utc`, `key`."""

    entries: tuple[Entry, ...]
    removals: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Export:
    """What a file holds. `texts`: by digest, as they were checked."""

    jobs: tuple[Travelling, ...]
    texts: Mapping[str, str] = field(default_factory=dict)


def export_line(
    entries: Sequence[Entry],
    *,
    personal: bool = True,
    removals: Sequence[Mapping[str, Any]] = (),
    texts: Mapping[str, str] | None = None,
) -> str:
    """One job as a JSON line. `personal` False leaves out plates, owners and dictated words; the chain stays whole.

    `texts`: those that led it and that no line before holds, by digest.
    """
    head = head_of(entries)
    return (
        json.dumps(
            {
                "export": FORMAT,
                "job": entries[0].job,
                "chain": {"number": head.number, "hash": head.hash.hex()},
                **({"removals": [dict(one) for one in removals]} if removals else {}),
                **({"texts": dict(texts)} if texts else {}),
                "facts": [_plain(entry if personal else _without_personal(entry)) for entry in entries],
            },
            ensure_ascii=True,
        )
        + "\n"
    )


def read_export(text: str) -> Export:
    """Everything in an export without its seal. Raises ForgedExport that names the line."""
    jobs: list[Travelling] = []
    texts: dict[str, str] = {}
    for number, line in enumerate(text.split("\n"), start=1):
        if line.strip():
            try:
                job, found = import_job(line)
            except ForgedExport as reason:
                raise ForgedExport(f"line {number}: {reason}") from reason
            jobs.append(job)
            texts |= found
    return Export(jobs=tuple(jobs), texts=texts)


def import_job(line: str) -> tuple[Travelling, Mapping[str, str]]:
    """The job in an export's line, and the texts that came with it. Raises ForgedExport: no
    export, changed, cut, or with facts missing."""
    try:
        told = json.loads(line)
    except (ValueError, RecursionError) as reason:
        raise ForgedExport("this is not a line of JSON") from reason
    if not isinstance(told, dict) or told.get("export") != FORMAT:
        raise ForgedExport(f"this is no export of the format {FORMAT}")
    try:
        entries = tuple(_entry(fact) for fact in told["facts"])
        stated = stated_head(told)
        removals = tuple(_removal(one) for one in told.get("removals", ()))
        texts = {_text(digest): _text(text) for digest, text in told.get("texts", {}).items()}
    except UNREADABLE as reason:
        raise ForgedExport("a part of the export is missing or of the wrong kind") from reason
    if not entries or any(entry.job != stated.job for entry in entries):
        raise ForgedExport("its facts are not those of the job that it names")
    wrong = faults(entries)
    if wrong:
        more = f" (and {len(wrong) - MOST_FAULTS} more)" if len(wrong) > MOST_FAULTS else ""
        raise ForgedExport("; ".join(wrong[:MOST_FAULTS]) + more)
    if head_of(entries) != stated.head:
        raise ForgedExport("its facts do not end where it says that the chain ends")
    if any(digest_of(text) != digest for digest, text in texts.items()):
        raise ForgedExport("a text that led the job was changed")
    return Travelling(entries=entries, removals=removals), texts


def stated_head(report: Mapping[str, Any]) -> StatedHead:
    """The head that a JSON report or export states. Raises KeyError, TypeError or ValueError for anything else."""
    chain = report["chain"]
    number, found = int(chain["number"]), bytes.fromhex(chain["hash"])
    if len(found) != HASH_BYTES or number < 0:
        raise ValueError("a head has a number and 32 bytes")
    return StatedHead(job=_text(report["job"]), head=Head(number=number, hash=found))


def _plain(entry: Entry) -> dict[str, Any]:
    return {
        "body": entry.body,
        "recorded_utc": entry.recorded_utc,
        "hash": entry.hash.hex(),
        "personal": [
            {
                "place": one.place,
                "belongs": one.belongs.value,
                "salt": one.salt.hex() if one.salt is not None else None,
                "value": one.value,
                "removed_utc": one.removed_utc,
            }
            for one in entry.apart
        ],
    }


def _without_personal(entry: Entry) -> Entry:
    return replace(entry, apart=tuple(replace(one, salt=None, value=None) for one in entry.apart))


def _entry(told: Mapping[str, Any]) -> Entry:
    body = _text(told["body"])
    public = json.loads(body)
    return Entry(
        job=_text(public["job"]),
        number=int(public["number"]),
        id=_text(public["id"]),
        body=body,
        recorded_utc=_text(told["recorded_utc"]),
        hash=bytes.fromhex(told["hash"]),
        apart=tuple(_apart(one) for one in told["personal"]),
    )


def _removal(told: Mapping[str, Any]) -> Mapping[str, Any]:
    places = [[int(number), _text(place)] for number, place in told["removed"]]
    return {"removed": places, "utc": _text(told["utc"]), "key": bytes.fromhex(told["key"]).hex()}


def _apart(told: Mapping[str, Any]) -> Apart:
    salt, value = told["salt"], told["value"]
    if (salt is None) != (value is None) or (salt is not None and len(bytes.fromhex(salt)) != SALT_BYTES):
        raise ValueError("a personal value has its salt, or neither is there")
    removed = told["removed_utc"]
    return Apart(
        place=_text(told["place"]),
        belongs=Belonging(told["belongs"]),
        salt=bytes.fromhex(salt) if salt is not None else None,
        value=_text(value) if value is not None else None,
        removed_utc=_text(removed) if removed is not None else None,
    )


def _text(value: Any) -> str:
    """Only text that can be kept. Raises TypeError or UnicodeEncodeError (a ValueError)."""
    if not isinstance(value, str):
        raise TypeError("text was expected")
    value.encode("utf-8")
    return value

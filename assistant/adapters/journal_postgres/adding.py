"""Rows of a job added to the shop's store, a whole turn in four statements, however many facts it has."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from typing import Any

from sqlalchemy import Connection, text

from assistant.facts import Fact, VehicleNoted, key_of
from assistant.record.chain import UNREADABLE, Entry
from assistant.record.personal import SALT_BYTES
from assistant.record.summary import Summary, line_of, said_of

CAR_KEYS = ("vin", "plate")

_JOB = text(
    "INSERT INTO jobs (key, label, begun_as) VALUES (:key, :label, :begun_as) ON CONFLICT (label) DO NOTHING "
    "RETURNING job_no"
)
_PERSONAL = text(
    "INSERT INTO personal (job_no, number, place, belongs, sealed, removed_utc) SELECT :job_no, * FROM unnest("
    "CAST(:number AS integer[]), CAST(:place AS text[]), CAST(:belongs AS text[]), CAST(:sealed AS bytea[]), "
    "CAST(:removed_utc AS text[]))"
)
_FACTS = text(
    "INSERT INTO facts (job_no, number, id, recorded_utc, hash, body) SELECT :job_no, * FROM unnest("
    "CAST(:number AS integer[]), CAST(:id AS text[]), CAST(:recorded_utc AS text[]), CAST(:hash AS bytea[]), "
    "CAST(:body AS text[]))"
)
_SAID = text(
    "INSERT INTO said (job_no, number, place, belongs, car, words) SELECT :job_no, * FROM unnest("
    "CAST(:number AS integer[]), CAST(:place AS text[]), CAST(:belongs AS text[]), CAST(:car AS boolean[]), "
    "CAST(:words AS text[]))"
)
_LINE_COLUMNS = (
    "started_utc", "procedure", "vehicle", "finding", "finding_fact", "codes", "ended", "everything", "vehicle_words",
    "finding_words", "told",
)  # fmt: skip
_LINE = text(
    f"INSERT INTO lines (job_no, {', '.join(_LINE_COLUMNS)}) VALUES (:job_no, "
    f"{', '.join('CAST(:told AS jsonb)' if name == 'told' else f':{name}' for name in _LINE_COLUMNS)}) "
    f"ON CONFLICT (job_no) DO UPDATE SET {', '.join(f'{name} = excluded.{name}' for name in _LINE_COLUMNS)}"
)


def add_job(connection: Connection, entry: Entry, label: str) -> int | None:
    """A new job's number in the store; None where its label is taken. Raises for a key that is taken."""
    values = {"key": key_of(entry.id, entry.number), "label": label, "begun_as": entry.job}
    found = connection.execute(_JOB, values).scalar()
    return None if found is None else int(found)


def add_entries(connection: Connection, job_no: int, entries: Sequence[Entry]) -> None:
    """The entries with their personal values and what these say; the server checks chain, bay and lease."""
    apart = [(entry.number, one) for entry in entries for one in entry.apart]
    if apart:
        connection.execute(
            _PERSONAL,
            {
                "job_no": job_no,
                "number": [number for number, _ in apart],
                "place": [one.place for _, one in apart],
                "belongs": [one.belongs.value for _, one in apart],
                "sealed": [None if one.value is None else (one.salt or b"") + one.value.encode() for _, one in apart],
                "removed_utc": [one.removed_utc for _, one in apart],
            },
        )
        add_said(connection, job_no, entries)
    connection.execute(
        _FACTS,
        {
            "job_no": job_no,
            "number": [one.number for one in entries],
            "id": [one.id for one in entries],
            "recorded_utc": [one.recorded_utc for one in entries],
            "hash": [one.hash for one in entries],
            "body": [one.body for one in entries],
        },
    )


def add_said(
    connection: Connection, job_no: int, entries: Sequence[Entry], but: Collection[tuple[Any, ...]] = ()
) -> None:
    """What the entries' personal values say, for searches. `but`: numbers and places that were removed."""
    rows = [row for row in said_rows(entries) if row[:2] not in but]
    if rows:
        names = ("number", "place", "belongs", "car", "words")
        columns = dict(zip(names, map(list, zip(*rows, strict=True)), strict=True))
        connection.execute(_SAID, {"job_no": job_no} | columns)


def write_line(connection: Connection, job_no: int, summary: Summary, told: Mapping[str, Any]) -> None:
    """The line that searches read, and what the job teaches the shop."""
    everything, vehicle, finding = line_of(summary)
    connection.execute(
        _LINE,
        {
            "job_no": job_no,
            "started_utc": storable(summary.started_utc),
            "procedure": storable(summary.procedure),
            "vehicle": storable(summary.vehicle),
            "finding": storable(summary.finding),
            "finding_fact": storable(summary.finding_fact),
            "codes": json.dumps(summary.codes),
            "ended": summary.ended,
            "everything": storable(everything),
            "vehicle_words": storable(vehicle),
            "finding_words": storable(finding),
            "told": json.dumps(told).replace("\\u0000", " "),
        },
    )


def said_rows(entries: Iterable[Entry]) -> Iterator[tuple[int, str, str, bool, str]]:
    """What the entries' personal values say, as a search compares it; `car`: a plate or VIN."""
    for entry in entries:
        if entry.apart:
            with suppress(*UNREADABLE):
                fact = entry.fact()
                for one in said_of(entry):
                    if one.words:
                        yield entry.number, one.place, one.belongs.value, _is_car(fact), storable(one.words)


def _is_car(fact: Fact) -> bool:
    return isinstance(said := fact.legible, VehicleNoted) and said.fact in CAR_KEYS


def storable(words: str) -> str:
    """Words as the server can hold them: no half characters, and a blank for the sign that ends a text in C."""
    return words.encode("utf-8", "replace").decode("utf-8").replace("\x00", " ")


def parted(plain: bytes | None) -> tuple[bytes | None, str | None]:
    """Salt and value of what lay sealed."""
    return (None, None) if plain is None else (bytes(plain[:SALT_BYTES]), bytes(plain[SALT_BYTES:]).decode())

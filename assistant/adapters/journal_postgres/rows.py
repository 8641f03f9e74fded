"""Rows of the shop's store to entries and back; for accounts that may read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Row, text

from assistant.adapters.journal_postgres.adding import parted
from assistant.record.chain import Entry, Head
from assistant.record.log import Logged
from assistant.record.personal import Apart, Belonging

_COLUMNS = "f.number, f.id, f.body, f.recorded_utc, f.hash, j.begun_as, f.job_no"


def entries_of(connection: Connection, job: str, since: int = 0) -> tuple[Entry, ...]:
    """The job's chain from behind fact `since` on, in order."""
    job_no = number_of_job(connection, job)
    if job_no is None:
        return ()
    rows = connection.execute(
        text(
            f"SELECT {_COLUMNS} FROM facts f JOIN jobs j USING (job_no) WHERE f.job_no = :job_no AND f.number > :since "
            "ORDER BY f.number"
        ),
        {"job_no": job_no, "since": since},
    )
    return _entries(connection, rows.all())


def entry_under(connection: Connection, fact_id: str) -> Entry | None:
    """The entry of that id, or None."""
    rows = connection.execute(
        text(f"SELECT {_COLUMNS} FROM facts f JOIN jobs j USING (job_no) WHERE f.id = :id"), {"id": fact_id}
    )
    return next(iter(_entries(connection, rows.all())), None)


def repairs(connection: Connection) -> tuple[Entry, ...]:
    """Every entry that confirms a repair or takes one back, by job and number."""
    rows = connection.execute(
        text(
            f"SELECT {_COLUMNS} FROM facts f JOIN jobs j USING (job_no) "
            """WHERE strpos(body, '"kind":"repair-confirmed"') > 0 ORDER BY f.job_no, f.number"""
        )
    )
    by_job = groupby(rows.all(), key=lambda row: row.job_no)
    return tuple(entry for _, of_job in by_job for entry in _entries(connection, list(of_job)))


def number_of_job(connection: Connection, job: str) -> int | None:
    """Number in the store of the job with that label or, where there is none, with that key."""
    return _number(connection, "label", job) or _number(connection, "key", job)


def number_of(connection: Connection, key: str, job: str) -> int | None:
    """Number in the store of the job that a fact belongs to: by its key, else by its name."""
    return _number(connection, "key", key) or _number(connection, "label", job)


def label_of(connection: Connection, job_no: int) -> str:
    """What the job of that number is called here."""
    return str(connection.execute(text("SELECT label FROM jobs WHERE job_no = :no"), {"no": job_no}).scalar_one())


def head_of_job(connection: Connection, key: str, job: str) -> Head:
    """Where the chain of the job ends that a fact belongs to."""
    row = connection.execute(
        text("SELECT number, hash FROM jobs WHERE job_no = :no"), {"no": number_of(connection, key, job)}
    ).first()
    return Head(number=row.number, hash=bytes(row.hash)) if row and row.number else Head()


def every_job(connection: Connection) -> tuple[str, ...]:
    """Labels of every job, oldest first."""
    return tuple(connection.execute(text("SELECT label FROM jobs WHERE number > 0 ORDER BY job_no")).scalars())


def logged(connection: Connection, job: str | None, since: int, most: int | None) -> Iterator[Logged]:
    """The leaves from place `since` on, of one job or all, in order."""
    values: dict[str, Any] = {"since": since, "most": most}
    where = "l.place >= :since"
    if job is not None:
        values["job_no"] = number_of_job(connection, job)
        where += " AND l.job_no = :job_no"
    rows = connection.execute(
        text(
            "SELECT l.place, l.kind, j.label, l.number, l.leaf, substr(l.nodes, 1, 32) AS hash FROM log l "
            f"LEFT JOIN jobs j USING (job_no) WHERE {where} ORDER BY l.place LIMIT :most"
        ),
        values,
    )
    for row in rows.all():
        yield Logged(
            place=row.place, kind=row.kind, job=row.label, number=row.number or 0, text=row.leaf, hash=bytes(row.hash)
        )


def _number(connection: Connection, column: str, value: str) -> int | None:
    if "\x00" in value:
        return None
    found = connection.execute(text(f"SELECT job_no FROM jobs WHERE {column} = :value"), {"value": value}).scalar()
    return None if found is None else int(found)


def _entries(connection: Connection, rows: Sequence[Row[Any]]) -> tuple[Entry, ...]:
    if not rows:
        return ()
    # One row asks for its own values only, so that a duplicate is found as fast in a long job as in a short one.
    one = rows[0].number if len(rows) == 1 else None
    apart: dict[int, list[Apart]] = {}
    for number, place, belongs, plain, removed_utc in connection.execute(
        text("SELECT * FROM opened(:job_no, :one)"), {"job_no": rows[0].job_no, "one": one}
    ):
        salt, value = parted(plain)
        kept = Apart(place=place, belongs=Belonging(belongs), salt=salt, value=value, removed_utc=removed_utc)
        apart.setdefault(number, []).append(kept)
    return tuple(
        Entry(
            job=row.begun_as,
            number=row.number,
            id=row.id,
            body=row.body,
            recorded_utc=row.recorded_utc,
            hash=bytes(row.hash),
            apart=tuple(apart.get(row.number, ())),
        )
        for row in rows
    )

"""Rows of the store to entries and back.

A job is its random key; its name here is a label. `job` is a label or, where no label is so, a key. A chain that came
from elsewhere under a label that was taken has another one here; its facts keep the name that it was begun under.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from itertools import groupby

from assistant.facts import key_of
from assistant.record.chain import Entry, Head
from assistant.record.personal import Apart, Belonging

_COLUMNS = "f.number, f.id, f.body, f.recorded_utc, f.hash, coalesce(j.begun_as, j.name), f.job_no"
_TIME = 24
"""Characters of a time of day as `wiring.folders.utc_now` writes it."""
_Row = tuple[int, str, str, str, bytes, str, int]
REPAIR = """instr(body, '"kind":"repair-confirmed"')"""
"""As written in the index `repairs`; a quotation mark inside of words is never bare in a body."""


def entries_of(connection: sqlite3.Connection, job: str, since: int = 0) -> tuple[Entry, ...]:
    """The job's chain, in order, from behind fact `since` on."""
    rows = connection.execute(
        f"SELECT {_COLUMNS} FROM jobs j JOIN facts f USING (job_no) WHERE job_no = ? AND f.number > ? "
        "ORDER BY f.number",
        (number_of_job(connection, job), since),
    )
    return _entries(connection, rows.fetchall())


def entry_under(connection: sqlite3.Connection, fact_id: str) -> Entry | None:
    """The entry of that id, or None."""
    rows = connection.execute(f"SELECT {_COLUMNS} FROM facts f JOIN jobs j USING (job_no) WHERE f.id = ?", (fact_id,))
    return next(iter(_entries(connection, rows.fetchall())), None)


def repairs(connection: sqlite3.Connection) -> tuple[Entry, ...]:
    """Every entry that confirms a repair or takes one back, by job and number; `REPAIR` is what the index holds."""
    rows = connection.execute(
        f"SELECT {_COLUMNS} FROM facts f INDEXED BY repairs JOIN jobs j USING (job_no) WHERE {REPAIR} "
        "ORDER BY f.job_no, f.number"
    )
    by_job = groupby(rows.fetchall(), key=lambda row: row[6])
    return tuple(entry for _, of_job in by_job for entry in _entries(connection, list(of_job)))


def number_of_job(connection: sqlite3.Connection, job: str) -> int | None:
    """Number in the store of the job with that label or, where there is none, with that key."""
    row = connection.execute("SELECT job_no FROM jobs WHERE name = ?", (job,)).fetchone()
    row = row or connection.execute("SELECT job_no FROM jobs WHERE key = ?", (job,)).fetchone()
    return int(row[0]) if row else None


def number_of(connection: sqlite3.Connection, key: str, job: str) -> int | None:
    """Number in the store of the job that a fact belongs to: by its key, else by its name."""
    row = connection.execute("SELECT job_no FROM jobs WHERE key = ?", (key,)).fetchone()
    row = row or connection.execute("SELECT job_no FROM jobs WHERE name = ?", (job,)).fetchone()
    return int(row[0]) if row else None


def label_of(connection: sqlite3.Connection, job_no: int) -> str:
    """What the job of that number is called here."""
    (name,) = connection.execute("SELECT name FROM jobs WHERE job_no = ?", (job_no,)).fetchone()
    return str(name)


def head_of_job(connection: sqlite3.Connection, key: str, job: str) -> Head:
    """Where the chain of the job ends that a fact belongs to."""
    row = connection.execute(
        "SELECT number, hash FROM facts WHERE job_no = ? ORDER BY number DESC LIMIT 1",
        (number_of(connection, key, job),),
    ).fetchone()
    return Head(number=row[0], hash=row[1]) if row else Head()


def every_job(connection: sqlite3.Connection) -> Iterator[tuple[int, str]]:
    """Number and name of every job, oldest first."""
    yield from connection.execute("SELECT job_no, name FROM jobs ORDER BY job_no")


def add_entry(connection: sqlite3.Connection, entry: Entry, label: str | None = None) -> int:
    """Keep the entry; returns the job's number in the store. `label`: what a new job is called here; else as begun."""
    key = key_of(entry.id, entry.number)
    if entry.number == 1:
        begun_as = entry.job if label not in (None, entry.job) else None
        connection.execute(
            "INSERT INTO jobs (name, key, begun_as) VALUES (?, ?, ?)", (label or entry.job, key, begun_as)
        )
    job_no = number_of(connection, key, entry.job)
    if job_no is None:
        raise ValueError(f"fact {entry.id!r} belongs to no job that is kept here")
    connection.execute(
        "INSERT INTO facts (job_no, number, id, recorded_utc, hash, body) VALUES (?, ?, ?, ?, ?, ?)",
        (job_no, entry.number, entry.id, entry.recorded_utc, entry.hash, entry.body),
    )
    connection.executemany(
        "INSERT INTO personal (job_no, number, place, belongs, salt, value, removed_utc) VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            (job_no, entry.number, one.place, one.belongs.value, one.salt, one.value, padded(one.removed_utc))
            for one in entry.apart
        ],
    )
    return job_no


def padded(removed_utc: str | None) -> str:
    """The time of a removal, or blanks of the same length where there was none, so that a removal changes no length."""
    return (removed_utc or "").ljust(_TIME)


def kept_apart(place: str, belongs: str, salt: bytes, value: str, removed_utc: str | None) -> Apart:
    """A value beside the chain as its row has it: blanks, or nothing in older stores, stand for "not removed"."""
    gone = (removed_utc or "").strip() or None
    return Apart(
        place=place,
        belongs=Belonging(belongs),
        salt=None if gone else salt,
        value=None if gone else value,
        removed_utc=gone,
    )


def _entries(connection: sqlite3.Connection, rows: Sequence[_Row]) -> tuple[Entry, ...]:
    if not rows:
        return ()
    # One row asks for its own values only, so that a duplicate is found as fast in a long job as in a short one.
    one_fact = "AND number = ?" if len(rows) == 1 else ""
    job_no, numbers = rows[0][6], [row[0] for row in rows[:1]] if len(rows) == 1 else []
    apart: dict[int, list[Apart]] = {}
    for number, place, belongs, salt, value, removed_utc in connection.execute(
        f"SELECT number, place, belongs, salt, value, removed_utc FROM personal WHERE job_no = ? {one_fact} "
        "ORDER BY number, place",
        (job_no, *numbers),
    ):
        apart.setdefault(number, []).append(kept_apart(place, belongs, salt, value, removed_utc))
    return tuple(
        Entry(
            job=name,
            number=number,
            id=fact_id,
            body=body,
            recorded_utc=recorded_utc,
            hash=fact_hash,
            apart=tuple(apart.get(number, ())),
        )
        for number, fact_id, body, recorded_utc, fact_hash, name, _ in rows
    )

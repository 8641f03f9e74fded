"""Backups of a store that is in use, and the healthy jobs out of one whose pages are damaged."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from assistant.adapters.journal_sqlite.failures import told
from assistant.adapters.journal_sqlite.rows import kept_apart
from assistant.record.chain import UNREADABLE, Entry, faults
from assistant.record.personal import Apart, Belonging, commitments

_NUMBERS = (
    "SELECT job_no, name FROM jobs NOT INDEXED ORDER BY job_no",
    "SELECT job_no, name FROM jobs NOT INDEXED ORDER BY job_no DESC",
    "SELECT job_no, name FROM jobs INDEXED BY sqlite_autoindex_jobs_1",
    "SELECT DISTINCT job_no, NULL FROM facts ORDER BY job_no DESC",
    "SELECT DISTINCT job_no, NULL FROM summaries ORDER BY job_no DESC",
)
"""Ways to the jobs' numbers and names: where a page of one is damaged, another may tell. Numbers have no gaps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Salvaged:
    """One job of a damaged store. `entries`: its whole chain, None where it is lost; then `why` says what is wrong.

    `bare`: its facts are whole and its personal values are lost; they count as removed.
    """

    name: str
    entries: tuple[Entry, ...] | None = None
    why: str = ""
    bare: bool = False


def copy_store(store: Path, target: Path) -> None:
    """A whole copy of a store, of one moment, while others write it; complete before it gets its name.

    Raises RecordError: not to be read or written, or damaged.
    """
    unfinished = target.with_name(f"{target.name}.unfinished")
    with told(store):
        unfinished.unlink(missing_ok=True)
        os.close(os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        source = sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True)
        with closing(source), closing(sqlite3.connect(unfinished)) as copy:
            source.backup(copy)  # in one go: a reader of the log keeps no writer waiting
            if (found := copy.execute("PRAGMA integrity_check(1)").fetchone()[0]) != "ok":
                raise sqlite3.DatabaseError(f"{found}; see hoodside jobs salvage")
        with unfinished.open("rb+") as file:
            os.fsync(file.fileno())
        unfinished.replace(target)


def salvage(store: Path, now_utc: str) -> Iterator[Salvaged]:
    """Each job of the store, oldest first, as far as its pages can be read and its chain holds.

    `now_utc`: when lost personal values count as removed. Raises RecordError where not even the tables can be found.
    """
    with told(store):
        connection = sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)
    with closing(connection):
        with told(store):
            connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        names = _names(connection)
        for number in range(1, max(names, default=0) + 1):
            yield _job(connection, number, names.get(number), now_utc)


def texts_in(store: Path) -> dict[str, str]:
    """The texts that led jobs, by digest, as far as their pages can be read; who relies on one hashes it."""
    found: dict[str, str] = {}
    with suppress(sqlite3.Error), closing(sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True)) as source:
        for digest, text in source.execute("SELECT digest, text FROM texts"):
            found[str(digest)] = str(text)
    return found


def _names(connection: sqlite3.Connection) -> dict[int, str | None]:
    found: dict[int, str | None] = {}
    for query in _NUMBERS:
        with suppress(sqlite3.Error):
            for number, name in connection.execute(query):
                if isinstance(number, int):
                    found[number] = found.get(number) or (name if isinstance(name, str) else None)
    return found


def _job(connection: sqlite3.Connection, job_no: int, name: str | None, now_utc: str) -> Salvaged:
    known = name or f"job number {job_no}, its name is lost"
    facts = "SELECT number, id, body, recorded_utc, hash FROM facts WHERE job_no = ? ORDER BY number"
    try:
        rows = connection.execute(facts, (job_no,)).fetchall()
        entries = tuple(_entry(row) for row in rows)
    except (sqlite3.Error, *UNREADABLE) as reason:
        return Salvaged(name=known, why=f"its facts cannot be read: {reason}")
    if not entries:
        return Salvaged(name=known, why="none of its facts is there")
    try:
        apart = _apart(connection, job_no)
    except (sqlite3.Error, *UNREADABLE):
        apart = {}
    bare = False
    whole = []
    for entry in entries:
        lost = set(commitments(json.loads(entry.body))) - {one.place for one in apart.get(entry.number, ())}
        gone = (Apart(place=at, belongs=Belonging.WORDS, salt=None, value=None, removed_utc=now_utc) for at in lost)
        kept = sorted((*apart.get(entry.number, ()), *gone), key=lambda one: one.place)
        bare = bare or bool(lost)
        whole.append(replace(entry, apart=tuple(kept)))
    wrong = faults(whole)
    if wrong:
        return Salvaged(name=name or entries[0].job, why=wrong[0])
    return Salvaged(name=name or entries[0].job, entries=tuple(whole), bare=bare)


def _entry(row: tuple[int, str, str, str, bytes]) -> Entry:
    number, fact_id, body, recorded_utc, fact_hash = row
    job = str(json.loads(body)["job"])
    return Entry(job=job, number=number, id=fact_id, body=body, recorded_utc=recorded_utc, hash=fact_hash)


def _apart(connection: sqlite3.Connection, job_no: int) -> dict[int, list[Apart]]:
    found: dict[int, list[Apart]] = {}
    for number, place, belongs, salt, value, removed_utc in connection.execute(
        "SELECT number, place, belongs, salt, value, removed_utc FROM personal WHERE job_no = ?", (job_no,)
    ):
        found.setdefault(number, []).append(kept_apart(place, belongs, salt, value, removed_utc))
    return found

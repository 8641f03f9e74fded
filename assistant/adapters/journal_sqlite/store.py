"""The journal in one SQLite file: facts are added, never changed, and durable before `append` returns.

Write-ahead log with synchronous=FULL: one sync for each append, readers never wait for the writer, and what was
acknowledged survives loss of power. (The rollback journal needs several syncs for the same promise.)
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path

from assistant.adapters.journal_sqlite.failures import told
from assistant.adapters.journal_sqlite.schema import bring_up_to_date, require_newest
from assistant.adapters.journal_sqlite.writing import WritingLocks
from assistant.facts import Fact
from assistant.record.admission import admit
from assistant.record.chain import Entry, Head, facts_of
from assistant.record.personal import Apart, Belonging

FILE_NAME = "jobs.sqlite"
LOCK_FOLDER = "writing"
BUSY_S = 5.0

_COLUMNS = "f.number, f.id, f.body, f.recorded_utc, f.hash, j.name, f.job_no"


class SqliteJournal:
    """Facts in `folder`/jobs.sqlite.

    `recorded_utc`: the time of day, ISO 8601, asked once for each append; never decides the order.
    `reading`: only look at a store that is there already; nothing in its folder is changed.
    Raises RecordError when the store cannot be opened or made. `backup`: the copy made before a migration, or None.
    """

    def __init__(
        self, folder: Path, recorded_utc: Callable[[], str], *, busy_s: float = BUSY_S, reading: bool = False
    ) -> None:
        self.path = folder / FILE_NAME
        self._recorded_utc = recorded_utc
        self._locks = WritingLocks(folder / LOCK_FOLDER)
        self._connection: sqlite3.Connection | None = None
        self.backup: Path | None = None
        with told(self.path):
            try:
                if reading:
                    self._connection = _open_for_reading(self.path, busy_s)
                    return
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
                self._connection = sqlite3.connect(self.path, timeout=busy_s, isolation_level=None)
                _prepare(self._connection)
                self.backup = bring_up_to_date(self._connection, self.path)
            except BaseException:
                self.close()
                raise

    def append(self, facts: Sequence[Fact]) -> None:
        """See ports.Journal. Holds each job for this program until `close`."""
        if not facts:
            return
        with told(self.path):
            for job in {fact.job for fact in facts}:
                self._locks.take(job)
            connection = self._open()
            connection.execute("BEGIN IMMEDIATE")
            try:
                for entry in admit(facts, kept=self._kept, head=self._head, recorded_utc=self._recorded_utc()):
                    self._insert(connection, entry)
                connection.execute("COMMIT")
            except BaseException:
                connection.rollback()
                raise

    def facts(self, job: str) -> tuple[Fact, ...]:
        """See ports.Journal."""
        return facts_of(self.entries(job))

    def jobs(self) -> tuple[str, ...]:
        """See ports.Journal."""
        with told(self.path):
            return tuple(name for (name,) in self._open().execute("SELECT name FROM jobs ORDER BY job_no"))

    def claim(self, job: str) -> None:
        """Hold the job for this program until `close`, before reading what it would go on from.

        Raises RecordError when another program holds it.
        """
        with told(self.path):
            self._locks.take(job)

    def entries(self, job: str) -> tuple[Entry, ...]:
        """The job's chain as kept, in order."""
        with told(self.path):
            rows = self._open().execute(
                f"SELECT {_COLUMNS} FROM jobs j JOIN facts f USING (job_no) WHERE j.name = ? ORDER BY f.number",
                (job,),
            )
            return self._entries(rows.fetchall())

    def close(self) -> None:
        """Frees the file and the jobs held; may be called twice."""
        if self._connection is not None:
            self._connection.close()
            self._connection = None
        self._locks.free()

    def _open(self) -> sqlite3.Connection:
        if self._connection is None:
            raise sqlite3.ProgrammingError("the journal was closed")
        return self._connection

    def _kept(self, fact_id: str) -> Entry | None:
        rows = self._open().execute(
            f"SELECT {_COLUMNS} FROM facts f JOIN jobs j USING (job_no) WHERE f.id = ?", (fact_id,)
        )
        found = self._entries(rows.fetchall())
        return found[0] if found else None

    def _head(self, job: str) -> Head:
        row = (
            self._open()
            .execute(
                "SELECT number, hash FROM facts WHERE job_no = (SELECT job_no FROM jobs WHERE name = ?) "
                "ORDER BY number DESC LIMIT 1",
                (job,),
            )
            .fetchone()
        )
        return Head(number=row[0], hash=row[1]) if row else Head()

    def _insert(self, connection: sqlite3.Connection, entry: Entry) -> None:
        if entry.number == 1:
            connection.execute("INSERT INTO jobs (name) VALUES (?)", (entry.job,))
        (job_no,) = connection.execute("SELECT job_no FROM jobs WHERE name = ?", (entry.job,)).fetchone()
        connection.execute(
            "INSERT INTO facts (job_no, number, id, recorded_utc, hash, body) VALUES (?, ?, ?, ?, ?, ?)",
            (job_no, entry.number, entry.id, entry.recorded_utc, entry.hash, entry.body),
        )
        connection.executemany(
            "INSERT INTO personal (job_no, number, place, belongs, salt, value, removed_utc) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)",
            [
                (job_no, entry.number, one.place, one.belongs.value, one.salt, one.value, one.removed_utc)
                for one in entry.apart
            ],
        )

    def _entries(self, rows: Sequence[tuple[int, str, str, str, bytes, str, int]]) -> tuple[Entry, ...]:
        apart: dict[int, dict[int, list[Apart]]] = {}
        for job_no in {row[6] for row in rows}:
            for number, *rest in self._open().execute(
                "SELECT number, place, belongs, salt, value, removed_utc FROM personal WHERE job_no = ? "
                "ORDER BY number, place",
                (job_no,),
            ):
                apart.setdefault(job_no, {}).setdefault(number, []).append(_apart(*rest))
        return tuple(
            Entry(
                job=name,
                number=number,
                id=fact_id,
                body=body,
                recorded_utc=recorded_utc,
                hash=fact_hash,
                apart=tuple(apart.get(job_no, {}).get(number, ())),
            )
            for number, fact_id, body, recorded_utc, fact_hash, name, job_no in rows
        )


def _prepare(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA secure_delete = ON")  # what is removed is overwritten, not only forgotten
    connection.execute("PRAGMA trusted_schema = OFF")


def _open_for_reading(path: Path, busy_s: float) -> sqlite3.Connection:
    """A connection that changes nothing, also where the folder may not be written (a disk mounted to look at)."""
    log = path.with_name(f"{path.name}-wal")
    # Where not even the log's index can be made, an empty log allows the file to be taken as it stands.
    still = not os.access(path.parent, os.W_OK) and not (log.exists() and log.stat().st_size)
    address = f"{path.absolute().as_uri()}?mode=ro{'&immutable=1' if still else ''}"
    connection = sqlite3.connect(address, uri=True, timeout=busy_s, isolation_level=None)
    try:
        require_newest(connection, path)
    except BaseException:
        connection.close()
        raise
    return connection


def _apart(place: str, belongs: str, salt: bytes | None, value: str | None, removed_utc: str | None) -> Apart:
    return Apart(place=place, belongs=Belonging(belongs), salt=salt, value=value, removed_utc=removed_utc)

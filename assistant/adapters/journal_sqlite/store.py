"""The journal in one SQLite file: facts are added, never changed, and durable before `append` returns.

Write-ahead log with synchronous=FULL: one sync for each append, readers never wait for the writer, and what was
acknowledged survives loss of power. (The rollback journal needs several syncs for the same promise.)
"""

from __future__ import annotations

import sqlite3
import stat
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from functools import partial
from pathlib import Path

from assistant.adapters.journal_sqlite import log
from assistant.adapters.journal_sqlite.connections import open_for_reading, prepare
from assistant.adapters.journal_sqlite.failures import read, told
from assistant.adapters.journal_sqlite.lines import line_faults, note_entries, search
from assistant.adapters.journal_sqlite.place import files_of, require_in_place
from assistant.adapters.journal_sqlite.removal import drop_clips, remove_values, wipe
from assistant.adapters.journal_sqlite.rows import (
    add_entry,
    entries_of,
    entry_under,
    every_job,
    head_of_job,
    label_of,
    number_of,
    number_of_job,
    repairs,
)
from assistant.adapters.journal_sqlite.schema import bring_up_to_date
from assistant.adapters.journal_sqlite.writing import WritingLocks
from assistant.facts import Fact, FactKind, key_of
from assistant.record.admission import admit, is_text, take_over
from assistant.record.chain import Entry, facts_of, to_remove
from assistant.record.log import Leaf, Logged, LogHead, Moment, Signer, absent_of, head_leaf, removed_leaf, taken_leaf
from assistant.record.personal import FILE_KEYS, Belonging, Removal
from assistant.record.summary import JobQuery, Summary

FILE_NAME = "jobs.sqlite"
LOCK_FOLDER = "writing"
BUSY_S = 5.0


class SqliteJournal:
    """Facts in `folder`/jobs.sqlite.

    `recorded_utc`: the time of day, ISO 8601, asked once for each append; never decides the order.
    `reading`: only look at a store that is there already; nothing in its folder is changed. `signer`: this
    installation's key; None leaves the log unsigned. `moment`: a clock that nobody can set, where there is one.
    `on_close`: told where the log ends when something was added to it.
    Raises RecordError when the store cannot be opened or made. `backup`: the copy made before a migration, or None.
    """

    def __init__(
        self,
        folder: Path,
        recorded_utc: Callable[[], str],
        *,
        busy_s: float = BUSY_S,
        reading: bool = False,
        signer: Signer | None = None,
        moment: Callable[[], Moment | None] = lambda: None,
        on_close: Callable[[LogHead], None] = lambda head: None,
    ) -> None:
        self.path = folder / FILE_NAME
        self._signer = signer
        self._moment = moment
        self._on_close = on_close
        self._grew = False
        self._recorded_utc = recorded_utc
        self._busy_s = busy_s
        self._locks = WritingLocks(folder / LOCK_FOLDER)
        self._connection: sqlite3.Connection | None = None
        self._files: tuple[tuple[int, int], ...] = ()
        self.backup: Path | None = None
        with told(self.path):
            try:
                if reading:
                    with read(self.path):
                        self._connection = open_for_reading(self.path, busy_s)
                    return
                keep_to_user(folder, self.path)
                self._connection = sqlite3.connect(self.path, timeout=busy_s, isolation_level=None)
                prepare(self._connection, busy_s)
                self.backup = bring_up_to_date(self._connection, self.path)
                self._files = files_of(self.path)
                self._sign_what_is_unsigned(self._connection)
            except BaseException:
                self.close()
                raise

    def append(self, facts: Sequence[Fact]) -> None:
        """See ports.Journal. Holds each job for this program until `close`."""
        if not facts:
            return
        with self._writing({self._called(fact) for fact in facts}) as connection:
            utc = self._recorded_utc()
            new = admit(
                facts,
                kept=partial(entry_under, connection),
                head=partial(head_of_job, connection),
                recorded_utc=utc,
            )
            moment = self._moment()
            self._add(connection, new, utc, lambda of_job: head_leaf(of_job[-1], moment))

    def take(self, entries: Sequence[Entry], *, label: str | None = None, key: bytes = b"") -> int:
        """See ports.Archive."""
        if not entries:
            return 0
        job = self._called(entries[0], label)
        held = self._locks.holds(job)
        try:
            with self._writing({job}) as connection:
                new = take_over(entries, entries_of(connection, job), kept=partial(entry_under, connection))
                utc = self._recorded_utc()
                self._add(connection, new, utc, lambda of_job: taken_leaf(of_job[-1], absent_of(of_job), key, utc), job)
                return len(new)
        finally:
            if not held:  # an import of thousands of jobs holds one at a time
                self._locks.free_one(job)

    def remove_personal(self, job: str, belongs: Sequence[Belonging]) -> Removal:
        """See ports.Archive. No byte of the values stays in the store's folder; other jobs may be written meanwhile."""
        with told(self.path):
            places = to_remove(self.entries(job), belongs)
        key = self._signer.key if self._signer else b""
        removal = self._remove(job, places, key, self._recorded_utc())
        with told(self.path):
            clips = Belonging.WORDS in belongs and drop_clips(self.path.parent, job)
        return replace(removal, clips=removal.clips or clips)

    def follow_removal(self, job: str, places: Sequence[tuple[int, str]], *, key: bytes, utc: str) -> Removal:
        """See ports.Archive."""
        return self._remove(job, places, key, utc)

    def _remove(self, job: str, places: Sequence[tuple[int, str]], key: bytes, utc: str) -> Removal:
        removed = 0
        with told(self.path):
            with self._writing({job}) as connection:
                job_no, kept = number_of_job(connection, job), entries_of(connection, job)
                if places and job_no is not None and kept:
                    removed = remove_values(connection, job_no, places, utc)
                    leaf = removed_leaf(kept[-1].job, kept[-1].number, places, key, utc)
                    self._log(connection, [(job_no, leaf)], self._recorded_utc())
            files = any(place.rpartition("/")[2] in FILE_KEYS for _, place in places)
            clips = files and drop_clips(self.path.parent, job)
            dropped = wipe(self._open(), self.path, self._busy_s)
        return Removal(values=removed, clips=clips, backups=tuple(str(one) for one in dropped))

    def keep_texts(self, texts: Mapping[str, str]) -> None:
        """See ports.Archive."""
        with told(self.path):
            known = {digest for (digest,) in self._open().execute("SELECT digest FROM texts")}
            missing = [(digest, text) for digest, text in texts.items() if digest not in known]
            if missing:
                with self._writing(()) as connection:
                    connection.executemany("INSERT OR IGNORE INTO texts (digest, text) VALUES (?, ?)", missing)

    def text(self, digest: str) -> str | None:
        """See ports.Archive."""
        with read(self.path):
            row = self._open().execute("SELECT text FROM texts WHERE digest = ?", (digest,)).fetchone()
            return None if row is None else str(row[0])

    def log_head(self) -> LogHead:
        """See ports.Archive."""
        with read(self.path):
            return log.log_head(self._open())

    def logged(self, job: str | None = None) -> Iterator[Logged]:
        """See ports.Archive."""
        with read(self.path):
            yield from log.logged(self._open(), job)

    def changes(self, since: int = 0, *, most: int | None = None) -> Iterator[Logged]:
        """See ports.Archive."""
        with read(self.path):
            yield from log.logged(self._open(), None, since, most)

    def node(self, level: int, index: int) -> bytes:
        """See ports.Archive."""
        with read(self.path):
            return log.node(self._open(), level, index)

    def rows_of_nodes(self) -> Iterator[tuple[int, tuple[bytes, ...]]]:
        """See ports.Archive."""
        with read(self.path):
            yield from log.all_nodes(self._open())

    def key_leaves(self) -> tuple[Logged, ...]:
        """See ports.Archive."""
        with read(self.path):
            return tuple(log.keys_of(self._open()))

    def moment(self, job: str) -> Moment | None:
        """See ports.Archive."""
        with read(self.path):
            return log.moment_of(self._open(), job)

    def facts(self, job: str) -> tuple[Fact, ...]:
        """See ports.Journal."""
        return facts_of(self.entries(job))

    def repairs(self) -> tuple[Fact, ...]:
        """See ports.Archive."""
        with read(self.path):
            found = facts_of(repairs(self._open()))
        return tuple(fact for fact in found if fact.kind is FactKind.REPAIR_CONFIRMED)

    def jobs(self) -> tuple[str, ...]:
        """See ports.Journal."""
        with read(self.path):
            return tuple(name for _, name in every_job(self._open()))

    def search(self, query: JobQuery) -> tuple[Summary, ...]:
        """See ports.Archive."""
        with read(self.path):
            return search(self._open(), query)

    def claim(self, job: str) -> None:
        """See ports.Archive."""
        with told(self.path):
            self._locks.take(job)

    def entries(self, job: str, *, since: int = 0) -> tuple[Entry, ...]:
        """See ports.Archive."""
        with read(self.path):
            return entries_of(self._open(), job, since)

    def damage(self) -> tuple[str, ...]:
        """See ports.Archive."""
        with read(self.path):
            found = [str(line) for (line,) in self._open().execute("PRAGMA integrity_check(5)")]
            return () if found == ["ok"] else tuple(f"{self.path}: {line}" for line in found)

    def line_faults(self) -> tuple[str, ...]:
        """See ports.Archive."""
        with read(self.path):
            return tuple(line_faults(self._open()))

    def close(self) -> None:
        """Frees the file and the jobs held; may be called twice."""
        connection, self._connection = self._connection, None
        if connection is not None:
            try:
                if self._grew:
                    self._on_close(log.log_head(connection))
            except sqlite3.Error:
                pass  # what is to be told is only where the log ends; every fact is kept
            finally:
                connection.close()
        self._locks.free()

    @contextmanager
    def _writing(self, jobs: Iterable[str]) -> Iterator[sqlite3.Connection]:
        """One transaction, kept whole or not at all, by the only writer of these jobs."""
        with told(self.path):
            for job in jobs:
                self._locks.take(job)
            connection = self._open()
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
                require_in_place(self.path, self._files)
                connection.execute("COMMIT")
            except BaseException:
                connection.rollback()
                raise

    def _called(self, of: Fact | Entry, label: str | None = None) -> str:
        """What the job of a fact is called here, or will be."""
        if not is_text(of.id) or not is_text(of.job):
            return of.job  # to be refused
        with told(self.path):
            connection = self._open()
            number = number_of(connection, key_of(of.id, of.number), label or of.job)
            return label_of(connection, number) if number is not None else label or of.job

    def _add(
        self,
        connection: sqlite3.Connection,
        entries: Sequence[Entry],
        utc: str,
        leaf: Callable[[Sequence[Entry]], Leaf],
        label: str | None = None,
    ) -> None:
        added: dict[int, list[Entry]] = {}
        for entry in entries:
            added.setdefault(add_entry(connection, entry, label), []).append(entry)
        for job_no, of_job in added.items():
            note_entries(connection, job_no, of_job)
        self._log(connection, [(job_no, leaf(of_job)) for job_no, of_job in added.items()], utc)

    def _log(self, connection: sqlite3.Connection, leaves: Sequence[tuple[int, Leaf]], utc: str) -> None:
        """Add leaves to the log and sign where it ends, in the transaction that keeps what they are about."""
        if leaves:
            log.add_leaves(connection, leaves)
            log.sign_head(connection, self._signer, utc)
            self._grew = True

    def _sign_what_is_unsigned(self, connection: sqlite3.Connection) -> None:
        """A log that has just begun, or that another key signed so far, is signed with this installation's key."""
        head = log.log_head(connection)
        if self._signer is None or not head.store or (head.key == self._signer.key and head.signature):
            return
        with self._writing(()):
            log.sign_head(connection, self._signer, self._recorded_utc())
            self._grew = True

    def _open(self) -> sqlite3.Connection:
        if self._connection is None:
            raise sqlite3.ProgrammingError("the journal was closed")
        return self._connection


def keep_to_user(folder: Path, store: Path) -> None:
    """The folder and the store made, for the user alone: plates and names lie in them. Raises OSError.

    A folder that was there is closed to others where it is ours, that is, holds a store or nothing. The log and its
    index get the permissions of the store.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if store.exists() or not any(folder.iterdir()):
        _close_to_others(folder, 0o700)
    store.touch(mode=0o600)
    for one in (store, *store.parent.glob(f"{store.name}-*"), *store.parent.glob(f"{store.name}.*")):
        _close_to_others(one, 0o600)


def _close_to_others(path: Path, mode: int) -> None:
    with suppress(FileNotFoundError, PermissionError):  # gone meanwhile, or another user's, who must see to it
        if stat.S_IMODE(path.stat().st_mode) & 0o077:
            path.chmod(mode)

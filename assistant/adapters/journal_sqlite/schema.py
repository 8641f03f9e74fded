"""The tables of the store, and how an older store becomes a newer one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

from assistant.adapters.journal_sqlite.lines import begin_signs, refill_summaries
from assistant.adapters.journal_sqlite.log import TABLES, begin_log
from assistant.errors import RecordError

APPLICATION_ID = 0x686F6F64
"""The letters "hood": marks the file as ours."""

VERSION_1 = """
CREATE TABLE jobs (
    job_no INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE
);
CREATE TABLE facts (
    job_no INTEGER NOT NULL REFERENCES jobs,
    number INTEGER NOT NULL,
    id TEXT NOT NULL UNIQUE,
    recorded_utc TEXT NOT NULL,
    hash BLOB NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (job_no, number)
) WITHOUT ROWID;
CREATE TABLE personal (
    job_no INTEGER NOT NULL REFERENCES jobs,
    number INTEGER NOT NULL,
    place TEXT NOT NULL,
    belongs TEXT NOT NULL,
    salt BLOB,
    value TEXT,
    removed_utc TEXT,
    PRIMARY KEY (job_no, number, place)
) WITHOUT ROWID;
CREATE TRIGGER facts_are_never_updated BEFORE UPDATE ON facts
BEGIN SELECT RAISE(ABORT, 'a fact is never updated'); END;
CREATE TRIGGER facts_are_never_deleted BEFORE DELETE ON facts
BEGIN SELECT RAISE(ABORT, 'a fact is never deleted'); END;
"""

VERSION_2 = """
CREATE TABLE summaries (
    job_no INTEGER PRIMARY KEY REFERENCES jobs,
    started_utc TEXT NOT NULL,
    procedure TEXT NOT NULL,
    vehicle TEXT NOT NULL,
    finding TEXT NOT NULL,
    finding_fact TEXT NOT NULL,
    ended INTEGER NOT NULL,
    everything TEXT NOT NULL,
    vehicle_words TEXT NOT NULL,
    finding_words TEXT NOT NULL
);
CREATE INDEX summaries_by_start ON summaries (started_utc);
CREATE INDEX owners ON personal (belongs, value) WHERE belongs = 'owner';
"""
"""One line for each job, so that a search reads no facts; version 4 makes it anew and fills it."""

VERSION_3 = """
CREATE INDEX repairs ON facts (job_no, number) WHERE instr(body, '"kind":"repair-confirmed"');
"""
"""Each start of a session asks for the confirmed repairs of the shop; they are few, the facts are many."""


VERSION_4 = """
ALTER TABLE jobs ADD COLUMN key TEXT;
ALTER TABLE jobs ADD COLUMN begun_as TEXT;
UPDATE jobs SET key = (SELECT CASE WHEN id LIKE '%-1' THEN substr(id, 1, length(id) - 2) ELSE id END
    FROM facts WHERE facts.job_no = jobs.job_no AND number = 1);
CREATE UNIQUE INDEX jobs_by_key ON jobs (key);
CREATE TABLE values_apart (
    row_no INTEGER PRIMARY KEY,
    job_no INTEGER NOT NULL REFERENCES jobs,
    number INTEGER NOT NULL,
    place TEXT NOT NULL,
    belongs TEXT NOT NULL,
    salt BLOB,
    value TEXT,
    removed_utc TEXT NOT NULL
);
INSERT INTO values_apart (job_no, number, place, belongs, salt, value, removed_utc)
    SELECT job_no, number, place, belongs, salt, value, substr(coalesce(removed_utc, '') || printf('%24s', ''), 1, 24)
    FROM personal ORDER BY job_no, number, place;
DROP TABLE personal;
ALTER TABLE values_apart RENAME TO personal;
CREATE UNIQUE INDEX personal_places ON personal (job_no, number, place);
DROP TABLE summaries;
CREATE TABLE summaries (
    job_no INTEGER PRIMARY KEY REFERENCES jobs,
    started_utc TEXT NOT NULL,
    procedure TEXT NOT NULL,
    vehicle TEXT NOT NULL,
    finding TEXT NOT NULL,
    finding_fact TEXT NOT NULL,
    codes TEXT NOT NULL,
    ended INTEGER NOT NULL,
    everything TEXT NOT NULL,
    vehicle_words TEXT NOT NULL,
    finding_words TEXT NOT NULL
);
CREATE INDEX summaries_by_start ON summaries (started_utc);
CREATE TABLE said (
    row_no INTEGER PRIMARY KEY,
    job_no INTEGER NOT NULL REFERENCES jobs,
    number INTEGER NOT NULL,
    place TEXT NOT NULL,
    belongs TEXT NOT NULL,
    words TEXT NOT NULL
);
CREATE INDEX said_by_fact ON said (job_no, number);
"""
"""Identity by the job's key; personal values and the words that a search compares where they can be wiped in place.

Rows of `personal` and `said` are only ever added at the end and overwritten by as many bytes, so SQLite never moves
them from page to page, which would leave copies behind; `removal` says more. `summaries` and `said` are derived.
"""


def _to_version_4(connection: sqlite3.Connection) -> None:
    """Also the log. It begins here and at no other time: a log that is empty later was emptied."""
    for statement in (*_statements(VERSION_4), *_statements(TABLES)):
        connection.execute(statement)
    refill_summaries(connection)
    begin_log(connection)


MIGRATIONS: tuple[str | Callable[[sqlite3.Connection], None], ...] = (
    VERSION_1,
    VERSION_2,
    VERSION_3,
    _to_version_4,
    begin_signs,
)
"""Step n leads from version n to version n + 1; a step once shipped is never changed."""

NEWEST = len(MIGRATIONS)


def bring_up_to_date(connection: sqlite3.Connection, path: Path) -> Path | None:
    """Migrate the open store to the newest version, each step whole or not at all.

    Returns the backup that was made first, or None where the store was new or up to date.
    Raises RecordError for a file that is another program's or was written by a newer version.
    """
    version = _version(connection, path)
    if version == NEWEST:
        return None
    backup = _back_up(connection, path, version) if version else None
    connection.execute("BEGIN EXCLUSIVE")
    try:
        version = _version(connection, path)  # another program may have been quicker
        for number, step in enumerate(MIGRATIONS[version:], start=version + 1):
            if callable(step):
                step(connection)
            else:
                for statement in _statements(step):
                    connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {number}")
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute("COMMIT")
    except BaseException:
        connection.rollback()
        raise
    return backup


def require_newest(connection: sqlite3.Connection, path: Path) -> None:
    """Raises RecordError unless the store is of the newest version."""
    version = _version(connection, path)
    if version == 0:
        raise RecordError(f"{path} holds no record yet: the program that made it was stopped before it kept one.")
    if version != NEWEST:
        raise RecordError(
            f"{path} was written by an older version of hoodside (store version {version}); "
            "it is brought up to date as soon as its folder may be written.",
        )


def backups(path: Path) -> tuple[Path, ...]:
    """Backups that stand beside the store, oldest version first."""
    return tuple(sorted(path.parent.glob(f"{path.name}.before-version-*")))


def _version(connection: sqlite3.Connection, path: Path) -> int:
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    (owner,) = connection.execute("PRAGMA application_id").fetchone()
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    if owner != APPLICATION_ID and (tables or version or owner):
        raise RecordError(
            f"{path} is a database of another program; nothing was changed; choose another folder with --data.",
            spoken="The record file belongs to another program.",
        )
    if version > NEWEST:
        raise RecordError(
            f"{path} was written by a newer version of hoodside (store version {version}, this one knows {NEWEST}); "
            "nothing was changed; install the newer version.",
            spoken="The record was written by a newer version.",
        )
    return int(version)


def _back_up(connection: sqlite3.Connection, path: Path, version: int) -> Path:
    """A whole copy beside the store, made before the first step; complete before it gets its name."""
    target = path.with_name(f"{path.name}.before-version-{NEWEST}-was-{version}")
    if target.exists():
        return target
    unfinished = target.with_name(f"{target.name}.unfinished")
    unfinished.unlink(missing_ok=True)
    copy = sqlite3.connect(unfinished)
    try:
        connection.backup(copy)
    finally:
        copy.close()
    unfinished.replace(target)
    return target


def _statements(script: str) -> tuple[str, ...]:
    """The script cut at complete statements: `executescript` would commit on its own, and a step must be whole."""
    found: list[str] = []
    pending = ""
    for line in script.splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            found.append(pending)
            pending = ""
    return tuple(found)

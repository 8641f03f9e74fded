"""Stores of every earlier version become the newest, with a backup, and lose nothing."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.journal_sqlite import schema as newest
from assistant.adapters.journal_sqlite.log import begin_log
from assistant.errors import RecordError
from assistant.facts import Fact, FactKind
from assistant.record.chain import Entry, faults
from assistant.record.summary import JobQuery
from assistant.record.verify import verify_job, verify_log

# The tables of version 1 as they were shipped; never changed again, whatever becomes of the program.
VERSION_1 = """
CREATE TABLE jobs (job_no INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
CREATE TABLE facts (
    job_no INTEGER NOT NULL REFERENCES jobs, number INTEGER NOT NULL, id TEXT NOT NULL UNIQUE,
    recorded_utc TEXT NOT NULL, hash BLOB NOT NULL, body TEXT NOT NULL, PRIMARY KEY (job_no, number)
) WITHOUT ROWID;
CREATE TABLE personal (
    job_no INTEGER NOT NULL REFERENCES jobs, number INTEGER NOT NULL, place TEXT NOT NULL, belongs TEXT NOT NULL,
    salt BLOB, value TEXT, removed_utc TEXT, PRIMARY KEY (job_no, number, place)
) WITHOUT ROWID;
CREATE TRIGGER facts_are_never_updated BEFORE UPDATE ON facts BEGIN SELECT RAISE(ABORT, 'a fact is never updated'); END;
CREATE TRIGGER facts_are_never_deleted BEFORE DELETE ON facts BEGIN SELECT RAISE(ABORT, 'a fact is never deleted'); END;
PRAGMA user_version = 1;
PRAGMA application_id = 1752133476;
"""
# The line for each job and its indexes, as version 2 added them.
VERSION_2 = (
    VERSION_1
    + """
CREATE TABLE summaries (
    job_no INTEGER PRIMARY KEY REFERENCES jobs, started_utc TEXT NOT NULL, procedure TEXT NOT NULL,
    vehicle TEXT NOT NULL, finding TEXT NOT NULL, finding_fact TEXT NOT NULL, ended INTEGER NOT NULL,
    everything TEXT NOT NULL, vehicle_words TEXT NOT NULL, finding_words TEXT NOT NULL
);
CREATE INDEX summaries_by_start ON summaries (started_utc);
CREATE INDEX owners ON personal (belongs, value) WHERE belongs = 'owner';
PRAGMA user_version = 2;
"""
)
# The index of confirmed repairs, as version 3 added it.
VERSION_3 = (
    VERSION_2
    + """
CREATE INDEX repairs ON facts (job_no, number) WHERE instr(body, '"kind":"repair-confirmed"');
PRAGMA user_version = 3;
"""
)
# Keys, values that can be wiped in place, what searches compare, and the log, as version 4 added them.
VERSION_4 = (
    VERSION_3
    + """
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

CREATE TABLE log (
    place INTEGER PRIMARY KEY,
    kind TEXT NOT NULL,
    job_no INTEGER,
    number INTEGER,
    boot TEXT,
    ms INTEGER,
    leaf TEXT,
    nodes BLOB NOT NULL
);
CREATE INDEX log_of_job ON log (job_no) WHERE job_no IS NOT NULL;
CREATE INDEX log_keys ON log (place) WHERE kind = 'key';
CREATE TABLE log_head (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    store TEXT NOT NULL,
    size INTEGER NOT NULL,
    peaks BLOB NOT NULL,
    utc TEXT NOT NULL,
    key BLOB NOT NULL,
    signature BLOB NOT NULL
);
CREATE TABLE texts (
    digest TEXT PRIMARY KEY,
    text TEXT NOT NULL
) WITHOUT ROWID;
CREATE TRIGGER leaves_are_never_updated BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'a leaf of the log is never updated'); END;
CREATE TRIGGER leaves_are_never_deleted BEFORE DELETE ON log
BEGIN SELECT RAISE(ABORT, 'a leaf of the log is never deleted'); END;
PRAGMA user_version = 4;
"""
)
SCRIPTS = {1: VERSION_1, 2: VERSION_2, 3: VERSION_3, 4: VERSION_4}
LINE_2 = (1, "2031-05-01T09:00:00.000Z", "", "fuel=petrol", "crank-sensor", "k7-4", 0)
"""The job's line as version 2 wrote it, before the words that are compared."""


def utc() -> str:
    """An invented time of day."""
    return "2031-05-01T09:00:00.000Z"


def chain() -> tuple[Entry, ...]:
    """An invented job with a plate and a finding."""
    journal = MemoryJournal(utc)
    told = [
        (FactKind.JOB_STARTED, {"key": "k7"}),
        (FactKind.VEHICLE_NOTED, {"fact": "plate", "value": "HS 42 DEMO"}),
        (FactKind.VEHICLE_NOTED, {"fact": "fuel", "value": "petrol"}),
        (FactKind.FINDING_REACHED, {"fault": "crank-sensor"}),
        (FactKind.REPAIR_CONFIRMED, {"fault": "crank-sensor"}),
    ]
    for number, (kind, data) in enumerate(told, start=1):
        journal.append([Fact(id=f"k7-{number}", job="blue-van", number=number, at_s=number, kind=kind, data=data)])
    return journal.entries("blue-van")


def old_store(folder: Path, version: int) -> tuple[Entry, ...]:
    """Write a store of an earlier version by its own script, with one job in it."""
    entries = chain()
    store = sqlite3.connect(folder / FILE_NAME)
    store.executescript(SCRIPTS[version])
    store.execute("INSERT INTO jobs VALUES (1, 'blue-van'" + (", 'k7', NULL)" if version >= 4 else ")"))
    for entry in entries:
        store.execute(
            "INSERT INTO facts VALUES (1, ?, ?, ?, ?, ?)",
            (entry.number, entry.id, entry.recorded_utc, entry.hash, entry.body),
        )
        for one in entry.apart:
            store.execute(
                f"INSERT INTO personal VALUES ({'NULL, ' if version >= 4 else ''}1, ?, ?, ?, ?, ?, ?)",
                (entry.number, one.place, one.belongs.value, one.salt, one.value, " " * 24 if version >= 4 else None),
            )
    if version >= 4:
        words = (" blue van  fuel=petrol crank sensor", "fuel=petrol", "crank sensor")
        store.execute("INSERT INTO summaries VALUES (?, ?, ?, ?, ?, ?, '[]', 0, ?, ?, ?)", (*LINE_2[:6], *words))
        store.execute("INSERT INTO said VALUES (NULL, 1, 2, ?, 'owner', 'hs42demo')", (entries[1].apart[0].place,))
        begin_log(store)
    elif version >= 2:
        words = (" blue van  fuel=petrol crank sensor", "fuel=petrol", "crank sensor")
        store.execute("INSERT INTO summaries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (*LINE_2, *words))
    store.commit()
    store.close()
    return entries


def test_every_earlier_version_has_a_test() -> None:
    """A new version of the store brings its predecessor into this file."""
    assert sorted(SCRIPTS) == list(range(1, newest.NEWEST))


@pytest.mark.parametrize("version", sorted(SCRIPTS))
def test_an_older_store_is_brought_up_to_date(tmp_path: Path, version: int) -> None:
    """Every fact is there, the chain holds, searches find the old jobs, and the backup is the old store, whole."""
    entries = old_store(tmp_path, version)
    journal = SqliteJournal(tmp_path, utc)
    assert journal.entries("blue-van") == entries
    assert faults(journal.entries("blue-van")) == ()
    assert [line.job for line in journal.search(JobQuery(vehicle=("HS 42",), finding=("crank sensor",)))] == [
        "blue-van"
    ]
    assert [line.finding[:22] for line in journal.search(JobQuery(words=("repaired",)))] == ["repaired crank-sensor;"]
    assert journal.line_faults() == ()
    assert [fact.id for fact in journal.repairs()] == ["k7-5"]
    assert verify_job(journal, "blue-van").wrong == () and verify_log(journal).wrong == ()
    assert journal.backup is not None
    journal.append(
        [Fact(id="k7-6", job="blue-van", number=6, at_s=6.0, kind=FactKind.JOB_ENDED)],
    )
    journal.close()
    kept = sqlite3.connect(journal.backup)
    assert kept.execute("PRAGMA user_version").fetchone() == (version,)
    assert kept.execute("SELECT hash FROM facts ORDER BY number").fetchall() == [(entry.hash,) for entry in entries]
    kept.close()
    again = SqliteJournal(tmp_path, utc)
    assert again.backup is None
    again.close()


@pytest.mark.parametrize("version", sorted(SCRIPTS))
def test_an_older_store_is_not_changed_by_looking(tmp_path: Path, version: int) -> None:
    """Whoever only looks is told that the store is older, and not a byte changes."""
    old_store(tmp_path, version)
    before = (tmp_path / FILE_NAME).read_bytes()
    with pytest.raises(RecordError, match="older version"):
        SqliteJournal(tmp_path, utc, reading=True)
    assert (tmp_path / FILE_NAME).read_bytes() == before


def test_a_step_that_fails_leaves_the_old_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A migration that breaks in the middle is undone as a whole; the next start can do it again."""
    entries = old_store(tmp_path, 1)

    def breaks(connection: sqlite3.Connection) -> None:
        connection.execute("CREATE TABLE half_done (x)")
        raise sqlite3.OperationalError("power went")

    whole = newest.MIGRATIONS
    monkeypatch.setattr(newest, "MIGRATIONS", (whole[0], breaks))
    with pytest.raises(RecordError, match="power went"):
        SqliteJournal(tmp_path, utc)
    store = sqlite3.connect(tmp_path / FILE_NAME)
    assert store.execute("PRAGMA user_version").fetchone() == (1,)
    assert not store.execute("SELECT 1 FROM sqlite_schema WHERE name = 'half_done'").fetchall()
    store.close()
    monkeypatch.setattr(newest, "MIGRATIONS", whole)
    journal = SqliteJournal(tmp_path, utc)
    assert journal.entries("blue-van") == entries
    journal.close()

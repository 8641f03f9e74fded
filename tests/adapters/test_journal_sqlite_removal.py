"""Personal data that was removed is in no file of the data folder any more."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.journal_sqlite.schema import NEWEST
from assistant.errors import RecordError
from assistant.facts import Fact, FactKind
from assistant.record.chain import faults
from assistant.record.clips import clips_place
from assistant.record.personal import Belonging
from assistant.record.summary import JobQuery

PLATE = "ZQ 4711 DEMO"
WORDS = "ring mister invented at the harbour"
FILLER = "wiggled the plug again"


def utc() -> str:
    """An invented time of day."""
    return "2031-05-01T09:00:00.000Z"


def fill(folder: Path) -> SqliteJournal:
    """A store with many jobs, one of them with a plate and notes, long ones among them."""
    journal = SqliteJournal(folder, utc)
    for job in ("first", "blue-van", "last"):
        told = [(FactKind.JOB_STARTED, {"key": job})]
        if job == "blue-van":
            told.append((FactKind.VEHICLE_NOTED, {"fact": "plate", "value": PLATE}))
            told.append((FactKind.NOTE_TAKEN, {"words": f"{WORDS} " * 900}))
        told += [(FactKind.NOTE_TAKEN, {"words": f"{FILLER} {number}"}) for number in range(60)]
        if job == "blue-van":
            told.append((FactKind.STRUCK, {"struck": "x", "words": WORDS}))
        for number, (kind, data) in enumerate(told, start=1):
            journal.append([Fact(id=f"{job}-{number}", job=job, number=number, at_s=number, kind=kind, data=data)])
    return journal


def holding(folder: Path, words: str) -> list[str]:
    """Names of the files that hold the words."""
    wanted = words.encode()
    return [path.name for path in sorted(folder.rglob("*")) if path.is_file() and wanted in path.read_bytes()]


def test_the_words_are_found_before(tmp_path: Path) -> None:
    """The search of these tests does find the words while they are kept, in the log at least."""
    journal = fill(tmp_path)
    assert holding(tmp_path, PLATE)
    assert holding(tmp_path, WORDS)
    journal.close()


@pytest.mark.parametrize("reopened", [False, True])
def test_no_file_holds_what_was_removed(tmp_path: Path, reopened: bool) -> None:
    """After the removal neither store, log, index, backup nor clip holds a byte of it; all else is there."""
    journal = fill(tmp_path)
    if reopened:
        journal.close()
        journal = SqliteJournal(tmp_path, utc)
    (tmp_path / f"{FILE_NAME}.before-version-{NEWEST}-was-1").write_text(PLATE)
    clips = tmp_path.joinpath(*clips_place("blue-van"))
    clips.mkdir(parents=True)
    (clips / "clip-1.wav").write_text(WORDS)
    done = journal.remove_personal("blue-van", [Belonging.OWNER, Belonging.WORDS])
    assert done.clips
    assert len(done.backups) == 1
    assert holding(tmp_path, PLATE) == []
    assert holding(tmp_path, WORDS) == []
    assert holding(tmp_path, WORDS[:12]) == []
    journal.close()
    assert holding(tmp_path, PLATE) == []
    assert holding(tmp_path, WORDS) == []
    after = SqliteJournal(tmp_path, utc)
    assert after.facts("first")[1].data["words"] == f"{FILLER} 0"
    for job in after.jobs():
        assert faults(after.entries(job)) == ()
    assert after.search(JobQuery(vehicle=(PLATE,))) == ()
    after.close()


def test_only_what_was_asked_goes(tmp_path: Path) -> None:
    """Taking out the owner leaves the notes; other jobs keep everything."""
    journal = fill(tmp_path)
    assert journal.remove_personal("blue-van", [Belonging.OWNER]).values == 1
    journal.close()
    assert holding(tmp_path, PLATE) == []
    assert holding(tmp_path, WORDS) == [FILE_NAME]


def test_a_reader_in_the_way_is_told_and_a_second_call_completes(tmp_path: Path) -> None:
    """While another program reads, the removal says that bytes may remain; once it is gone the same call ends it."""
    fill(tmp_path).close()
    journal = SqliteJournal(tmp_path, utc, busy_s=0.05)
    reader = sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM facts").fetchone()
    with pytest.raises(RecordError, match=r"run the same command again|busy"):
        journal.remove_personal("blue-van", [Belonging.OWNER])
    reader.close()
    journal.remove_personal("blue-van", [Belonging.OWNER])
    journal.close()
    assert holding(tmp_path, PLATE) == []

"""Personal data that was removed is in no file of the data folder any more."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
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


def test_a_removal_changes_few_pages_whatever_the_size(tmp_path: Path) -> None:
    """The store is not written anew, which would keep every other session waiting: all but a few pages stay."""
    journal = fill(tmp_path)
    for count in range(3):
        notes = [
            Fact(
                id=f"m{count}-{n}", job=f"m{count}", number=n, at_s=n, kind=FactKind.NOTE_TAKEN, data={"words": FILLER}
            )
            for n in range(1, 300)
        ]
        journal.append(notes)
    journal.close()
    before = (tmp_path / FILE_NAME).read_bytes()
    journal = SqliteJournal(tmp_path, utc)
    journal.remove_personal("first", [Belonging.WORDS])
    journal.close()
    after = (tmp_path / FILE_NAME).read_bytes()
    pages = [range(at, at + 4096) for at in range(0, max(len(before), len(after)), 4096)]
    changed = sum(before[page.start : page.stop] != after[page.start : page.stop] for page in pages)
    assert len(after) - len(before) <= 2 * 4096  # the log tells of the removal
    assert len(pages) > 150 and 0 < changed < 15


def test_a_live_session_goes_on_while_jobs_are_forgotten(tmp_path: Path) -> None:
    """Another program appends all the time meanwhile: it loses nothing."""
    fill(tmp_path).close()
    script = (
        "import sys; from pathlib import Path; from assistant.adapters.journal_sqlite import SqliteJournal\n"
        "from assistant.facts import Fact, FactKind\n"
        "journal = SqliteJournal(Path(sys.argv[1]), lambda: 'now', busy_s=5)\n"
        "print('begun', flush=True)\n"
        "n = 0\n"
        "while not Path(sys.argv[1], 'enough').exists():\n"
        "    n += 1\n"
        "    journal.append([Fact(id=f'k-{n}', job='live', number=n, at_s=n, kind=FactKind.NOTE_TAKEN, "
        "data={'words': 'live'})])\n"
        "print(n)\n"
    )
    root = Path(__file__).parents[2]
    session = subprocess.Popen(
        [sys.executable, "-c", script, str(tmp_path)], cwd=root, stdout=subprocess.PIPE, text=True
    )
    assert session.stdout is not None and session.stdout.readline() == "begun\n"
    journal = SqliteJournal(tmp_path, utc)
    for job in ("first", "blue-van", "last"):
        journal.remove_personal(job, [Belonging.OWNER, Belonging.WORDS])
    (tmp_path / "enough").touch()
    appended = int(session.communicate()[0])
    assert session.returncode == 0
    assert [fact.number for fact in journal.facts("live")] == list(range(1, appended + 1))
    journal.close()
    assert holding(tmp_path, PLATE) == []
    assert holding(tmp_path, WORDS) == []


def test_no_byte_is_left_where_many_sessions_wrote_at_once(tmp_path: Path) -> None:
    """Jobs whose values were written in turns, short and long, each on pages with those of others: none leaves any."""
    journal = SqliteJournal(tmp_path, utc)
    chance = random.Random(7)
    jobs = [f"job{number:03d}" for number in range(24)]
    counts = dict.fromkeys(jobs, 0)
    for _ in range(900):
        job = chance.choice(jobs)
        counts[job] += 1
        words = f"mark{job}mark " + "x" * chance.choice([1, 30, 90, 400, 5000])
        kind, data = FactKind.NOTE_TAKEN, {"words": words}
        if counts[job] == 1:
            kind, data = FactKind.VEHICLE_NOTED, {"fact": "owner", "value": words}
        number = counts[job]
        journal.append([Fact(id=f"{job}-{number}", job=job, number=number, at_s=number, kind=kind, data=data)])
    for job in jobs[::2]:
        journal.remove_personal(job, [Belonging.OWNER, Belonging.WORDS])
    journal.close()
    assert [job for job in jobs if holding(tmp_path, f"mark{job}mark")] == jobs[1::2]

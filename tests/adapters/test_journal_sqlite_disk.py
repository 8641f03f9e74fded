"""The store on disks that are full, read-only, damaged, or others' own."""

from __future__ import annotations

import os
import resource
import signal
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.errors import MAX_SPOKEN_WORDS, RecordError
from assistant.record.verify import verify_job
from tests.adapters.sqlite_job import JOB, in_child, note, numbers, told_of, utc


def test_a_full_file_keeps_what_was_acknowledged(tmp_path: Path) -> None:
    """When no file may grow any further, the append is refused in one sentence and everything before it stays."""

    def fill(pipe: int) -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        _fill(tmp_path, pipe)

    _check_filled(tmp_path, fill)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 400 kB of its own; skips where none can be mounted."""
    folder = tmp_path / "disk"
    folder.mkdir()
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if done.returncode:
        pytest.skip("no disk can be mounted here: not root")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def test_a_full_disk_keeps_what_was_acknowledged(small_disk: Path) -> None:
    """When the disk is full, the append is refused in one sentence and everything before it stays."""
    _check_filled(small_disk, lambda pipe: _fill(small_disk, pipe))


def test_goes_on_once_there_is_space_again(small_disk: Path) -> None:
    """The very append that was refused goes through after space was made, by the same program."""
    ballast = small_disk / "ballast"
    ballast.write_bytes(b"x" * 200_000)
    journal = SqliteJournal(small_disk, utc)
    number = 1
    with pytest.raises(RecordError, match="disk"):
        for number in range(1, 1000):
            journal.append([note(number, "word " * 200)])
    ballast.unlink()
    journal.append([note(number, "word " * 200)])
    journal.close()
    assert numbers(small_disk) == list(range(1, number + 1))


def _fill(folder: Path, pipe: int) -> None:
    journal = SqliteJournal(folder, utc)
    try:
        for number in range(1, 10_000):
            journal.append([note(number, "word " * 200)])
            os.write(pipe, b"a")
    except RecordError as error:
        os.write(pipe, f"\n{error}\n{error.spoken}".encode())


def _check_filled(folder: Path, fill: Callable[[int], None]) -> None:
    child, pipe = in_child(fill)
    acknowledged, sentence, spoken = told_of(pipe).split("\n")
    assert os.waitpid(child, 0)[1] == 0
    assert len(acknowledged) > 3
    assert sentence.startswith(str(folder / FILE_NAME))
    assert "disk" in sentence
    assert "Stopping" in spoken
    assert len(spoken.split()) <= MAX_SPOKEN_WORDS
    reader = SqliteJournal(folder, utc, reading=True)
    assert [kept.number for kept in reader.facts(JOB)] == list(range(1, len(acknowledged) + 1))
    reader.close()


def test_a_read_only_disk_is_told_and_can_still_be_read(small_disk: Path) -> None:
    """On a disk that may not be written an append is refused in one sentence; the records can be looked at."""
    journal = SqliteJournal(small_disk, utc)
    journal.append([note(1)])
    journal.close()
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    with pytest.raises(RecordError, match=r"may not be written|cannot be opened|Read-only") as told:
        SqliteJournal(small_disk, utc).append([note(2)])
    assert told.value.exit_code == 4
    reader = SqliteJournal(small_disk, utc, reading=True)
    assert reader.facts(JOB) == (note(1),)
    with pytest.raises(RecordError):
        reader.append([note(2)])
    reader.close()


def test_a_read_only_disk_with_a_log_can_be_read(small_disk: Path, tmp_path: Path) -> None:
    """A disk taken from a laptop that died holds its last facts in the log alone: they are read, nothing is written."""
    live = SqliteJournal(tmp_path, utc)
    live.append([note(1)])
    live.append([note(2)])
    for end in ("", "-wal"):
        (small_disk / f"{FILE_NAME}{end}").write_bytes((tmp_path / f"{FILE_NAME}{end}").read_bytes())
    live.close()
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    reader = SqliteJournal(small_disk, utc, reading=True)
    assert reader.facts(JOB) == (note(1), note(2))
    reader.close()
    assert {path.name for path in small_disk.iterdir()} == {FILE_NAME, f"{FILE_NAME}-wal"}


def test_a_folder_with_other_things_in_it_is_left_as_it_is(tmp_path: Path) -> None:
    """Whoever keeps records among other files goes on reading these; the store is closed to others all the same."""
    folder = tmp_path / "shared"
    folder.mkdir(mode=0o755)
    (folder / "theirs").touch(mode=0o644)
    SqliteJournal(folder, utc).close()
    assert folder.stat().st_mode & 0o777 == 0o755
    assert (folder / "theirs").stat().st_mode & 0o777 == 0o644
    assert (folder / FILE_NAME).stat().st_mode & 0o777 == 0o600


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A file where the folder should be is named in one sentence."""
    (tmp_path / "data").write_text("not a folder")
    with pytest.raises(RecordError, match="data"):
        SqliteJournal(tmp_path / "data", utc)


@pytest.mark.parametrize("content", [b"this is no database" * 100, bytes(5000)[:-1] + b"x", os.urandom(8192)])
def test_a_damaged_file_is_told_and_left_alone(tmp_path: Path, content: bytes) -> None:
    """What is no store is refused in one sentence and not a byte of it changes."""
    path = tmp_path / FILE_NAME
    path.write_bytes(content)
    with pytest.raises(RecordError, match=r"damaged|not a store"):
        SqliteJournal(tmp_path, utc)
    assert path.read_bytes() == content


def test_damage_inside_is_told(tmp_path: Path) -> None:
    """Pages overwritten in the middle of the store end in one sentence, not in a wrong record."""
    journal = SqliteJournal(tmp_path, utc)
    journal.append([note(number, "word " * 100) for number in range(1, 200)])
    journal.close()
    path = tmp_path / FILE_NAME
    whole = bytearray(path.read_bytes())
    whole[8192 : len(whole) - 4096] = os.urandom(len(whole) - 4096 - 8192)
    path.write_bytes(whole)
    with pytest.raises(RecordError, match="damaged"):
        SqliteJournal(tmp_path, utc).facts(JOB)


def test_an_entry_of_the_log_that_holds_something_else_is_told(tmp_path: Path) -> None:
    """Damage in the one place that says what a column is gives none where a number was; found by odd bytes."""
    journal = SqliteJournal(tmp_path, utc)
    journal.append([note(number, "word") for number in range(1, 9)])
    journal.close()
    path = tmp_path / FILE_NAME
    whole = path.read_bytes()
    changed = whole.replace(
        b"CREATE TABLE log (\n    place INTEGER PRIMARY", b"CREATE TABLE log (\n    place INTEGER PRIMXRY"
    )
    assert changed != whole
    path.write_bytes(changed)
    journal = SqliteJournal(tmp_path, utc, reading=True)
    with pytest.raises(RecordError, match="damaged"):
        verify_job(journal, JOB)
    journal.close()


def test_an_empty_file_becomes_a_store(tmp_path: Path) -> None:
    """A store that was only just created when the power went is simply begun."""
    (tmp_path / FILE_NAME).touch()
    assert numbers(tmp_path) == []


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    """A database that is not ours is refused and not a table of it changes."""
    other = sqlite3.connect(tmp_path / FILE_NAME)
    other.execute("CREATE TABLE theirs (x)")
    other.commit()
    other.close()
    with pytest.raises(RecordError, match="another program"):
        SqliteJournal(tmp_path, utc)
    other = sqlite3.connect(tmp_path / FILE_NAME)
    assert other.execute("SELECT name FROM sqlite_schema").fetchall() == [("theirs",)]
    other.close()


def test_a_newer_store_is_refused(tmp_path: Path) -> None:
    """A store of a later version is refused with the advice to update, and stays as it is."""
    SqliteJournal(tmp_path, utc).close()
    store = sqlite3.connect(tmp_path / FILE_NAME)
    store.execute("PRAGMA user_version = 999")
    store.close()
    with pytest.raises(RecordError, match="newer version"):
        SqliteJournal(tmp_path, utc)

"""The store on a real disk: killed, full, read only, damaged, shared, foreign."""

from __future__ import annotations

import os
import random
import resource
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.errors import MAX_SPOKEN_WORDS, RecordError
from assistant.facts import Fact, FactKind
from assistant.record.chain import faults

JOB = "blue-van"


def utc() -> str:
    """An invented time of day."""
    return "2031-05-01T09:00:00.000Z"


def note(number: int, words: str = "said") -> Fact:
    """A note in an invented job."""
    return Fact(
        id=f"k7-{number}", job=JOB, number=number, at_s=float(number), kind=FactKind.NOTE_TAKEN, data={"words": words}
    )


def numbers(folder: Path) -> list[int]:
    """Numbers of the facts that whoever opens the store finds; the chain must hold."""
    journal = SqliteJournal(folder, utc)
    try:
        assert faults(journal.entries(JOB)) == ()
        return [kept.number for kept in journal.facts(JOB)]
    finally:
        journal.close()


def in_child(work: Callable[[int], None]) -> tuple[int, int]:
    """Run `work(pipe)` in a forked process. Returns its process id and the pipe to read from."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.close(reading)
            work(writing)
            code = 0
        finally:
            os._exit(code)
    os.close(writing)
    return child, reading


def told_of(pipe: int) -> str:
    """All that the child wrote."""
    parts = []
    while part := os.read(pipe, 65536):
        parts.append(part)
    os.close(pipe)
    return b"".join(parts).decode()


@pytest.mark.parametrize("seed", range(5))
def test_nothing_acknowledged_is_lost_when_killed(tmp_path: Path, seed: int) -> None:
    """Killed at ten random moments, what reopens is what was acknowledged plus at most the append in flight."""
    chance = random.Random(seed)
    for _ in range(10):
        before = numbers(tmp_path)

        def append_for_ever(pipe: int, start: int = len(before) + 1) -> None:
            journal = SqliteJournal(tmp_path, utc)
            for number in range(start, start + 100_000, 2):
                journal.append([note(number), note(number + 1)])
                os.write(pipe, b"a")

        child, pipe = in_child(append_for_ever)
        acknowledged = 0
        wanted = chance.randrange(1, 40)
        while acknowledged < wanted:
            acknowledged += len(os.read(pipe, wanted))
        os.kill(child, signal.SIGKILL)
        acknowledged += len(told_of(pipe))
        os.waitpid(child, 0)
        after = numbers(tmp_path)
        assert after == list(range(1, len(after) + 1))
        assert len(after) - len(before) - 2 * acknowledged in (0, 2)


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


@pytest.mark.parametrize("there", ["nothing", "empty", "store"])
def test_nobody_else_may_read_store_log_or_folder(tmp_path: Path, there: str) -> None:
    """Store, log and index are the user's alone, also in a folder that was there, and in one of an older program."""
    folder = tmp_path / "data"
    if there != "nothing":
        folder.mkdir(mode=0o755)
    if there == "store":
        SqliteJournal(folder, utc).close()
        folder.chmod(0o755)
        (folder / FILE_NAME).chmod(0o644)
    journal = SqliteJournal(folder, utc)
    journal.append([note(1)])
    modes = {path.name: path.stat().st_mode & 0o777 for path in (folder, *folder.rglob("*"))}
    journal.close()
    assert {FILE_NAME, f"{FILE_NAME}-wal", f"{FILE_NAME}-shm", "data"} <= set(modes)
    assert {name for name, mode in modes.items() if mode & 0o077} == set()


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


def test_a_store_kept_busy_is_told(tmp_path: Path) -> None:
    """When another program keeps the store to itself for too long, one sentence says so and nothing is lost."""
    journal = SqliteJournal(tmp_path, utc, busy_s=0.05)
    journal.append([note(1)])
    other = sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(RecordError, match="busy"):
        journal.append([note(2)])
    other.execute("ROLLBACK")
    other.close()
    journal.append([note(2)])
    journal.close()
    assert numbers(tmp_path) == [1, 2]


def test_facts_cannot_be_changed_by_ordinary_means(tmp_path: Path) -> None:
    """The store itself refuses an update or a removal of a fact."""
    journal = SqliteJournal(tmp_path, utc)
    journal.append([note(1)])
    journal.close()
    store = sqlite3.connect(tmp_path / FILE_NAME)
    for statement in ("UPDATE facts SET body = ''", "DELETE FROM facts"):
        with pytest.raises(sqlite3.IntegrityError, match="never"):
            store.execute(statement)
    store.close()


def test_many_programs_write_one_store_at_once(tmp_path: Path) -> None:
    """Four programs on four jobs append at the same time; every acknowledged fact is there once."""
    script = (
        "import sys; from pathlib import Path; from assistant.adapters.journal_sqlite import SqliteJournal\n"
        "from assistant.facts import Fact, FactKind\n"
        "journal = SqliteJournal(Path(sys.argv[1]), lambda: 'now', busy_s=60)\n"
        "for n in range(1, 41):\n"
        "    journal.append([Fact(id=f'{sys.argv[2]}-{n}', job=sys.argv[2], number=n, at_s=n,\n"
        "                         kind=FactKind.INSTRUCTION_DONE)])\n"
    )
    programs = [
        subprocess.Popen([sys.executable, "-c", script, str(tmp_path), f"job-{index}"], cwd=Path(__file__).parents[2])
        for index in range(4)
    ]
    assert [program.wait() for program in programs] == [0, 0, 0, 0]
    journal = SqliteJournal(tmp_path, utc)
    for index in range(4):
        assert [kept.number for kept in journal.facts(f"job-{index}")] == list(range(1, 41))
        assert faults(journal.entries(f"job-{index}")) == ()
    journal.close()


def test_a_killed_program_frees_its_job(tmp_path: Path) -> None:
    """The job of a program that was killed can be written at once by the next."""

    def hold(pipe: int) -> None:
        holder = SqliteJournal(tmp_path, utc)
        holder.append([note(1), note(2)])
        os.write(pipe, b"a")
        signal.pause()

    child, pipe = in_child(hold)
    assert os.read(pipe, 1) == b"a"
    journal = SqliteJournal(tmp_path, utc)
    with pytest.raises(RecordError, match="open in another program"):
        journal.append([note(3)])
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.close(pipe)
    journal.append([note(3)])
    journal.close()
    assert numbers(tmp_path) == [1, 2, 3]


def test_a_closed_job_leaves_no_lock_behind(tmp_path: Path) -> None:
    """The files that lock jobs go with the lock, and one left by a killed program is taken over."""
    (tmp_path / "writing").mkdir()
    journal = SqliteJournal(tmp_path, utc)
    journal.append([note(1)])
    (lock,) = (tmp_path / "writing").iterdir()
    journal.close()
    assert list((tmp_path / "writing").iterdir()) == []
    lock.touch()
    again = SqliteJournal(tmp_path, utc)
    again.append([note(2)])
    again.close()
    assert list((tmp_path / "writing").iterdir()) == []


def test_repairs_are_found_among_all_facts(tmp_path: Path) -> None:
    """Confirmations and what takes them back come by job and number; words that look like one do not."""
    journal = SqliteJournal(tmp_path, utc)
    told: list[tuple[FactKind, dict[str, object]]] = [
        (FactKind.NOTE_TAKEN, {"words": '"kind":"repair-confirmed"'}),
        (FactKind.REPAIR_CONFIRMED, {"fault": "pump-dead"}),
        (FactKind.RESULT_LOGGED, {"result": "dead", "kind": "repair-confirmed"}),
        (FactKind.REPAIR_CONFIRMED, {"fault": None}),
    ]
    for job in ("red-van", "blue-van"):
        journal.append(
            [
                Fact(id=f"{job}-{number}", job=job, number=number, at_s=float(number), kind=kind, data=data)
                for number, (kind, data) in enumerate(told, start=1)
            ]
        )
    assert [fact.id for fact in journal.repairs()] == ["red-van-2", "red-van-4", "blue-van-2", "blue-van-4"]
    journal.close()


def test_an_append_seldom_waits_for_the_log_to_be_carried_in(tmp_path: Path) -> None:
    """By SQLite's own habit one append in some hundred and thirty would; of three hundred none does."""
    journal = SqliteJournal(tmp_path, utc)
    journal.append([note(1)])
    log = tmp_path / f"{FILE_NAME}-wal"
    sizes = []
    for number in range(2, 300):
        journal.append([note(number)])
        sizes.append(log.stat().st_size)
    assert sizes == sorted(sizes)
    assert sizes[-1] > 1_000 * 4096 * 1.5
    journal.close()
    assert not log.exists()

"""The store on a real disk: killed, full, read only, damaged, shared, foreign."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import pytest

from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.errors import RecordError
from assistant.facts import Fact, FactKind
from assistant.record.chain import faults
from tests.adapters.sqlite_job import in_child, note, numbers, told_of, utc


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


def test_a_new_store_is_opened_by_several_programs_at_once(tmp_path: Path) -> None:
    """None is told that another keeps it busy. Source: SQLite's documentation of PRAGMA journal_mode and of its busy
    handler, which is not called where waiting could not help; before, one in 60 of these openings failed."""
    for number in range(60):
        folder, start = tmp_path / str(number), Barrier(3)

        def open_and_close(folder: Path = folder, start: Barrier = start) -> None:
            start.wait()
            SqliteJournal(folder, utc, busy_s=2.0).close()

        with ThreadPoolExecutor(3) as pool:
            for opened in [pool.submit(open_and_close) for _ in range(3)]:
                opened.result()

"""Backups, putting them back, and what is saved of a damaged store, as they are typed."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from assistant.__main__ import run
from assistant.adapters.clips_wav import WavClips
from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.facts import Fact, FactKind
from assistant.record.chain import faults
from assistant.record.clips import clips_place
from tests.record.sample_job import Bench, sample_job

PAGE = 4096


def utc() -> str:
    """An invented time of day."""
    return "2031-05-01T09:00:00.000Z"


def keep(folder: Path, *benches: Bench) -> None:
    """Put jobs into the store."""
    journal = SqliteJournal(folder, utc)
    for bench in benches:
        journal.take(bench.entries())
    journal.close()


def jobs_in(folder: Path) -> dict[str, int]:
    """Name and number of facts of every job there; every chain must hold."""
    journal = SqliteJournal(folder, utc, reading=True)
    try:
        assert [words for job in journal.jobs() for words in faults(journal.entries(job))] == []
        return {job: len(journal.entries(job)) for job in journal.jobs()}
    finally:
        journal.close()


def test_a_backup_is_a_data_folder_that_can_be_put_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Records, sound and settings come back into an empty folder, for the user alone to read."""
    data, backup, other = tmp_path / "data", tmp_path / "backup", tmp_path / "other"
    keep(data, sample_job(), sample_job("red-van", "zz1", ended=False))
    clip = data.joinpath(*clips_place("red-van"), "000007-x.wav")
    clip.parent.mkdir(parents=True)
    clip.write_bytes(b"sound")
    assert run(["shop", "settings", "--name", "Bay Nine", "--data", str(data)]) == 0
    assert run(["jobs", "backup", "--out", str(backup), "--data", str(data)]) == 0
    assert "Wrote 2 jobs" in capsys.readouterr().err
    assert run(["jobs", "list", "--data", str(backup)]) == 0
    assert run(["jobs", "restore", str(backup), "--data", str(other)]) == 0
    assert jobs_in(other) == jobs_in(data) == jobs_in(backup) == {"grey-hatchback": 65, "red-van": 61}
    assert other.joinpath(*clips_place("red-van"), "000007-x.wav").read_bytes() == b"sound"
    assert "Bay Nine" in (other / "shop.json").read_text()
    for path in (*backup.rglob("*"), *other.rglob("*")):
        assert path.suffix == ".wav" or path.stat().st_mode & 0o077 == 0, path


def test_restoring_changes_nothing_that_is_here(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A job that went on here stays longer, one that is gone comes back, another of the same name gets a number."""
    data, backup = tmp_path / "data", tmp_path / "backup"
    older = sample_job("red-van", "zz1", ended=False)
    keep(backup, sample_job(), older, sample_job("blue-van", "bb1"))
    older.add(FactKind.NOTE_TAKEN, "spark-check", {"words": "went on"})
    keep(data, older, sample_job("blue-van", "another"))
    assert run(["jobs", "restore", str(backup), "--data", str(data)]) == 0
    assert jobs_in(data) == {"red-van": 62, "blue-van": 65, "grey-hatchback": 65, "blue-van (2)": 65}
    assert "Put back 130 facts of 2 jobs." in capsys.readouterr().err
    assert run(["jobs", "restore", str(backup), "--data", str(data)]) == 0
    assert "Put back 0 facts" in capsys.readouterr().err


def test_a_backup_is_of_one_moment_while_a_session_writes(tmp_path: Path) -> None:
    """Ten copies made while another program appends: each chain holds, none is shorter than the one before, and the
    session is never kept from writing."""
    data = tmp_path / "data"
    keep(data, sample_job())
    script = (
        "import sys; from pathlib import Path; from assistant.adapters.journal_sqlite import SqliteJournal\n"
        "from assistant.facts import Fact, FactKind\n"
        "journal = SqliteJournal(Path(sys.argv[1]), lambda: 'now', busy_s=0.5)\n"
        "n = 0\n"
        "while not Path(sys.argv[1], 'enough').exists():\n"
        "    n += 1\n"
        "    journal.append([Fact(id=f'k-{n}', job='live', number=n, at_s=n, kind=FactKind.INSTRUCTION_DONE)])\n"
        "    if n == 1: print('begun', flush=True)\n"
    )
    root = Path(__file__).parents[2]
    session = subprocess.Popen([sys.executable, "-c", script, str(data)], cwd=root, stdout=subprocess.PIPE, text=True)
    assert session.stdout is not None and session.stdout.readline() == "begun\n"
    lengths = []
    for _ in range(10):
        assert run(["jobs", "backup", "--out", str(tmp_path / "backup"), "--data", str(data)]) == 0
        lengths.append(jobs_in(tmp_path / "backup")["live"])
    (data / "enough").touch()
    assert session.wait() == 0
    assert lengths == sorted(lengths) and lengths[-1] > lengths[0]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["jobs", "backup", "--out", "DATA"], "the folder of the records themselves"),
        (["jobs", "restore", "NONE"], "There are no records in"),
        (["jobs", "salvage", "--out", "OTHER"], "There are records in"),
    ],
)
def test_wrong_use_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    """Nothing is written over, and the sentence names the folder."""
    places = {"DATA": tmp_path / "data", "NONE": tmp_path / "none", "OTHER": tmp_path / "other"}
    keep(places["DATA"], sample_job())
    keep(places["OTHER"], sample_job())
    assert run([*(str(places.get(one, one)) for one in arguments), "--data", str(places["DATA"])]) == 2
    assert words in capsys.readouterr().err
    assert jobs_in(places["DATA"]) == jobs_in(places["OTHER"]) == {"grey-hatchback": 65}


def filled(folder: Path) -> dict[str, list[Fact]]:
    """A store of twenty jobs, its log empty; what each holds."""
    journal = SqliteJournal(folder, utc)
    kept = {}
    for at in range(20):
        job = f"job-{at:02d}"
        facts = [
            Fact(id=f"{job}-{n}", job=job, number=n, at_s=n, kind=FactKind.NOTE_TAKEN, data={"words": f"{job} {n}"})
            for n in range(1, 40)
        ]
        journal.append(facts)
        kept[job] = facts
    journal.close()
    return kept


@pytest.mark.parametrize("seed", range(12))
def test_the_healthy_jobs_of_a_damaged_store_are_saved_and_the_lost_ones_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], seed: int
) -> None:
    """Pages overwritten anywhere but the first: each job is saved as it was or named as lost, and none is changed."""
    data, saved = tmp_path / "data", tmp_path / "saved"
    kept = filled(data)
    path = data / FILE_NAME
    whole = bytearray(path.read_bytes())
    chance = random.Random(seed)
    for page in chance.sample(range(1, len(whole) // PAGE), 1 + seed % 4):
        whole[page * PAGE : (page + 1) * PAGE] = chance.randbytes(PAGE) if seed % 2 else bytes(PAGE)
    path.write_bytes(whole)
    code = run(["jobs", "salvage", "--out", str(saved), "--data", str(data)])
    told = capsys.readouterr().out.splitlines()
    lost = [line.split(": ")[1] for line in told if line.startswith("Lost: ")]
    bare = [line.split(": ")[1].rstrip(".") for line in told if line.startswith("Kept without")]
    assert code == (1 if lost else 0)
    assert path.read_bytes() == whole
    found = jobs_in(saved)
    assert len(found) + len(lost) == len(kept)
    journal = SqliteJournal(saved, utc, reading=True)
    for job in found:
        if job not in bare:
            assert list(journal.facts(job)) == kept[job]
    journal.close()
    named = [name for name in lost if name in kept]
    assert not set(named) & set(found)
    assert len(found) >= 5


def test_lost_jobs_come_back_from_a_backup(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was saved and what the backup has make a whole store again."""
    data, backup, saved = tmp_path / "data", tmp_path / "backup", tmp_path / "saved"
    kept = filled(data)
    assert run(["jobs", "backup", "--out", str(backup), "--data", str(data)]) == 0
    path = data / FILE_NAME
    store = sqlite3.connect(path)
    (root,) = store.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'facts'").fetchone()
    store.close()
    whole = bytearray(path.read_bytes())
    pages = [page for page in range(1, len(whole) // PAGE) if page + 1 != root and whole[page * PAGE] == 10]
    for page in pages[5:8]:
        whole[page * PAGE : (page + 1) * PAGE] = bytes(PAGE)
    path.write_bytes(whole)
    assert run(["jobs", "verify", "--data", str(data)]) in (1, 4)
    capsys.readouterr()
    run(["jobs", "salvage", "--out", str(saved), "--data", str(data)])
    assert run(["jobs", "restore", str(backup), "--data", str(saved)]) == 0
    assert jobs_in(saved) == {job: len(facts) for job, facts in kept.items()}


def test_sound_goes_with_the_backup(tmp_path: Path) -> None:
    """A clip that is kept later is in the next backup, and one that is there is not copied again."""
    data, backup = tmp_path / "data", tmp_path / "backup"
    keep(data, sample_job())
    for name in ("000001-a.wav", "000002-b.wav"):
        assert WavClips(data).keep("grey-hatchback", name, np.zeros(10, np.int16))
        assert run(["jobs", "backup", "--out", str(backup), "--data", str(data)]) == 0
    assert sorted(path.name for path in backup.rglob("*.wav")) == ["000001-a.wav", "000002-b.wav"]

"""The desk's commands: report and jobs, as they are typed."""

from __future__ import annotations

import json
import sqlite3
import sys
from pathlib import Path

import pytest

from assistant.__main__ import run
from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.facts import FactKind
from assistant.guide import advance, begin
from assistant.language.model import Control, Dictate, GiveControl
from assistant.wiring import procedures_at_hand, shipped_procedures
from tests.record.sample_job import PLATE, Bench, sample_job


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with an ended and an open job."""
    folder = tmp_path / "data"
    keep(folder, sample_job(), sample_job("red-van", "zz1", ended=False))
    return folder


def keep(folder: Path, *benches: Bench) -> None:
    """Put jobs into the store."""
    journal = SqliteJournal(folder, lambda: "2031-05-01T09:00:00.000Z")
    for bench in benches:
        journal.take(bench.entries())
    journal.close()


def test_report_in_every_format(data: Path, tmp_path: Path) -> None:
    """Each format is written whole; an open job can be reported too."""
    for job in ("grey-hatchback", "red-van"):
        for kind, start in (
            ("html", b"<!doctype"),
            ("pdf", b"%PDF"),
            ("json", b"{"),
            ("csv", b"fact,"),
            ("invoice", b"Engine"),
        ):
            out = tmp_path / f"{job}.{kind}"
            assert run(["report", job, "--data", str(data), "--format", kind, "--out", str(out)]) == 0
            assert out.read_bytes().startswith(start)
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_report_ids_are_those_of_the_facts(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON report goes to standard output alone and carries the ids of the facts."""
    assert run(["report", "grey-hatchback", "--data", str(data), "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [fact["id"] for fact in told["facts"][:2]] == ["q7f3a1-1", "q7f3a1-2"]


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["report", "nobody"], 2, "There is no job 'nobody'"),
        (["report", "grey-hatchback", "--format", "pdf"], 2, "name it with --out FILE"),
        (["report", "grey-hatchback", "--out", "/no/such/folder/x.html"], 2, "cannot be written"),
        (["jobs", "export"], 2, "Name the jobs to export"),
        (["jobs", "forget", "nobody"], 2, "There is no job 'nobody'"),
        (["jobs", "close", "nobody"], 2, "There is no job 'nobody'"),
        (["jobs", "import", "nowhere.jsonl"], 2, "cannot be read"),
        (["jobs", "verify", "--against", "nowhere.json"], 2, "cannot be read as a report"),
        (["jobs", "verify", "nobody"], 1, "there is no job 'nobody'"),
        (["jobs", "list", "no-such-word"], 1, "No job answers that"),
    ],
)
def test_wrong_use_is_one_sentence(
    *, data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, words: str
) -> None:
    """Wrong use ends in one sentence and its exit code."""
    more = ["--out", str(tmp_path / "x")] if arguments == ["jobs", "export"] else []
    assert run([*arguments, *more, "--data", str(data)]) == code
    told = capsys.readouterr().err.strip()
    assert words in told
    assert "\n" not in told


def test_a_folder_without_records_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Looking where nothing was kept says so and leaves nothing behind."""
    assert run(["report", "x", "--data", str(tmp_path / "none")]) == 2
    assert "There are no records" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()


def test_a_damaged_store_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A damaged store ends with exit code 4 and one sentence."""
    (tmp_path / FILE_NAME).write_bytes(b"not a store" * 1000)
    assert run(["report", "x", "--data", str(tmp_path)]) == 4
    assert "is not a store of records" in capsys.readouterr().err


def test_list_finds_by_plate_day_and_finding(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The list answers a plate, a day and a finding; JSON lines hold nothing personal."""
    assert run(["jobs", "list", "--vehicle", PLATE, "--ended", "--json", "--data", str(data)]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    assert json.loads(line)["job"] == "grey-hatchback"
    assert PLATE not in line
    assert run(["jobs", "list", "--finding", "crank sensor", "--since", "2031-04-30", "--data", str(data)]) == 0
    assert "grey-hatchback" in capsys.readouterr().out
    assert run(["jobs", "list", "--since", "2031-05-03", "--data", str(data)]) == 1


def test_verify_finds_a_change_in_the_store(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A fact changed behind the program's back is named, and the exit code is 1."""
    assert run(["jobs", "verify", "--data", str(data)]) == 0
    store = sqlite3.connect(data / FILE_NAME)
    store.execute("DROP TRIGGER facts_are_never_updated")
    store.execute("UPDATE facts SET body = replace(body, '12.5', '12.6') WHERE id = 'q7f3a1-14'")
    assert store.total_changes == 1
    store.commit()
    store.close()
    assert run(["jobs", "verify", "--data", str(data)]) == 1
    told = capsys.readouterr()
    assert "fact 14 of job 'grey-hatchback'" in told.err
    assert "NOT as recorded" in told.out


def test_verify_finds_a_gap_in_the_store(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A fact taken out of the middle is found."""
    store = sqlite3.connect(data / FILE_NAME)
    store.execute("DROP TRIGGER facts_are_never_deleted")
    store.execute("DELETE FROM facts WHERE id = 'q7f3a1-20'")
    store.commit()
    store.close()
    assert run(["jobs", "verify", "grey-hatchback", "--data", str(data)]) == 1
    assert "expected number 20" in capsys.readouterr().err


@pytest.mark.parametrize("kind", ["json", "html", "export", "typed"])
def test_verify_against_a_report_finds_a_cut_tail(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    """A store whose last facts were cut off shows it by its log, and against any report that left before."""
    report = tmp_path / f"before.{kind}"
    if kind == "export":
        assert run(["jobs", "export", "grey-hatchback", "--out", str(report), "--data", str(data)]) == 0
    else:
        wanted = "json" if kind == "typed" else kind
        assert run(["report", "grey-hatchback", "--format", wanted, "--out", str(report), "--data", str(data)]) == 0
    stated = str(report)
    if kind == "typed":
        chain = json.loads(report.read_text())["chain"]
        stated = f"{chain['number']}:{chain['hash']}"
    verify = ["jobs", "verify", "grey-hatchback", "--against", stated, "--data", str(data)]
    assert run(verify) == 0
    store = sqlite3.connect(data / FILE_NAME)
    store.execute("DROP TRIGGER facts_are_never_deleted")
    store.execute(
        "DELETE FROM facts WHERE number > 60 AND job_no = (SELECT job_no FROM jobs WHERE name = 'grey-hatchback')"
    )
    store.commit()
    store.close()
    assert run(["jobs", "verify", "grey-hatchback", "--data", str(data)]) == 1
    assert "the log knows fact 65" in capsys.readouterr().err
    assert run(verify) == 1
    assert "cut off" in capsys.readouterr().err


def test_a_rewritten_job_shows_against_its_report(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Another chain under the same name is not the one of the report."""
    report = tmp_path / "before.html"
    assert run(["report", "grey-hatchback", "--out", str(report), "--data", str(data)]) == 0
    other = tmp_path / "other"
    forged = Bench()
    for _ in range(80):
        forged.add(FactKind.INSTRUCTION_DONE, "spark-check")
    keep(other, forged)
    assert run(["jobs", "verify", "--against", str(report), "--data", str(other)]) == 1
    assert "made anew" in capsys.readouterr().err


def test_export_and_import_keep_the_chain(data: Path, tmp_path: Path) -> None:
    """Jobs carried to another machine verify there against the report of the first."""
    file, report, other = tmp_path / "all.jsonl", tmp_path / "one.json", tmp_path / "other"
    assert run(["jobs", "export", "--all", "--out", str(file), "--data", str(data)]) == 0
    assert run(["report", "red-van", "--format", "json", "--out", str(report), "--data", str(data)]) == 0
    assert run(["jobs", "import", str(file), "--data", str(other)]) == 0
    assert run(["jobs", "import", str(file), "--data", str(other)]) == 0
    assert run(["jobs", "verify", "--data", str(other)]) == 0
    assert run(["jobs", "verify", "--against", str(report), "--data", str(other)]) == 0


def test_two_machines_may_use_one_name(data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Another machine's job of the same name is kept whole under that name with a number, and its report verifies."""
    file, other, report = tmp_path / "all.jsonl", tmp_path / "other", tmp_path / "second.json"
    keep(other, sample_job(key="another", ended=False))
    assert run(["jobs", "export", "--all", "--out", str(file), "--data", str(other)]) == 0
    capsys.readouterr()
    for new in (61, 0):
        assert run(["jobs", "import", str(file), "--data", str(data)]) == 0
        told = capsys.readouterr()
        assert f"{new} new facts of 61" in told.out
    assert run(["jobs", "list", "grey-hatchback", "--json", "--data", str(data)]) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert sorted((line["job"], line["ended"]) for line in lines) == [
        ("grey-hatchback", True),
        ("grey-hatchback (2)", False),
    ]
    second = "grey-hatchback (2)"
    assert run(["report", second, "--format", "json", "--out", str(report), "--data", str(data)]) == 0
    assert json.loads(report.read_text())["job"] == second
    assert run(["jobs", "verify", "--against", str(report), "--data", str(data)]) == 0
    assert run(["jobs", "verify", "--data", str(data)]) == 0


@pytest.mark.parametrize("cut", [0.5, 0.999])
def test_a_cut_export_keeps_nothing(data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], cut: float) -> None:
    """An import that breaks off in its second job keeps not even the first."""
    file, other = tmp_path / "all.jsonl", tmp_path / "other"
    run(["jobs", "export", "--all", "--out", str(file), "--data", str(data)])
    first, second, seal = file.read_text().splitlines(keepends=True)
    assert seal.startswith('{"seal":')
    file.write_text(first + second[: int(len(second) * cut)])
    assert run(["jobs", "import", str(file), "--data", str(other)]) == 1
    assert "line 2" in capsys.readouterr().err
    assert not (other / FILE_NAME).exists()


def test_forget_removes_and_the_chain_holds(data: Path, tmp_path: Path) -> None:
    """After a removal no file in the data folder holds the plate, and an earlier report still fits."""
    report = tmp_path / "before.json"
    run(["report", "grey-hatchback", "--format", "json", "--out", str(report), "--data", str(data)])
    for job in ("grey-hatchback", "red-van"):
        assert run(["jobs", "forget", job, "--words", "--data", str(data)]) == 0
    for path in data.rglob("*"):
        if path.is_file():
            assert PLATE.encode() not in path.read_bytes()
            assert b"died at the lights" not in path.read_bytes()
    assert run(["jobs", "verify", "--against", str(report), "--data", str(data)]) == 0
    assert run(["report", "grey-hatchback", "--out", str(tmp_path / "after.html"), "--data", str(data)]) == 0
    assert "removed on request" in (tmp_path / "after.html").read_text()


def test_close_ends_an_open_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A job left open is ended from the desk by the guide's own rules, once."""
    library = procedures_at_hand(shipped_procedures())
    turn = begin(library, "no-start", "k9", "left-open", {"plate": PLATE})
    facts = list(turn.facts)
    for said in (GiveControl(control=Control.DONE), Dictate(words="died on the way")):
        turn = advance(library, turn.state, said, turn.state.at_s + 5)
        facts += turn.facts
    keeper = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
    keeper.append(facts)
    store = SqliteJournal(tmp_path, lambda: "2031-05-01T09:00:00.000Z")
    store.take(keeper.entries("left-open"))
    store.keep_texts({one.digest: one.text for one in library.values()})
    store.close()
    assert run(["jobs", "close", "left-open", "--data", str(tmp_path)]) == 0
    assert run(["jobs", "list", "--ended", "--data", str(tmp_path)]) == 0
    assert "left-open" in capsys.readouterr().out
    assert run(["jobs", "close", "left-open", "--data", str(tmp_path)]) == 2
    assert "has ended already" in capsys.readouterr().err
    assert run(["jobs", "verify", "--data", str(tmp_path)]) == 0


def test_a_job_named_like_a_path_writes_only_where_it_is_told(tmp_path: Path) -> None:
    """Path characters in a job's name lead nowhere outside."""
    name = "../../escaped"
    keep(tmp_path / "data", sample_job(name, "p1"))
    before = {path for path in tmp_path.rglob("*")}
    out = tmp_path / "out.html"
    assert run(["report", name, "--out", str(out), "--data", str(tmp_path / "data")]) == 0
    assert run(["jobs", "forget", name, "--data", str(tmp_path / "data")]) == 0
    new = {path for path in tmp_path.rglob("*")} - before
    assert all(path == out or path.is_relative_to(tmp_path / "data") for path in new)
    assert not (tmp_path.parent / "escaped").exists()


def test_a_pdf_without_typst_says_what_to_install(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exit code 3, one sentence, no file."""
    monkeypatch.setitem(sys.modules, "typst", None)
    out = tmp_path / "report.pdf"
    assert run(["report", "grey-hatchback", "--data", str(data), "--format", "pdf", "--out", str(out)]) == 3
    told = capsys.readouterr().err
    assert "install it with: python -m pip install 'typst>=0.13'" in told and len(told.splitlines()) == 1
    assert not out.exists()

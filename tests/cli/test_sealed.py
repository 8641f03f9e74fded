"""Records that cannot be made to say otherwise: what led a job, what was changed, what left, what was removed."""

from __future__ import annotations

import io
import json
import shutil
import sqlite3
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from assistant.__main__ import run
from assistant.adapters.journal_sqlite import FILE_NAME
from assistant.wiring import folders, library, shipped_folder
from assistant.wiring.folders import find_procedure

Shell = Callable[..., tuple[int, str, str]]
SEALED = ("html", "pdf", "json", "csv")
FIRST = "Engine cranks but will not run"
OWN = "Engine turns and never starts"


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Shell:
    """Runs a command with typed input, on a machine with settings of its own; gives exit code, output and messages."""

    def call(*arguments: str, typed: str = "", machine: str = "here") -> tuple[int, str, str]:
        monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / machine / "settings"))
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        code = run([*arguments, "--data", str(tmp_path / machine / "data")])
        shown = capsys.readouterr()
        return code, shown.out, shown.err

    return call


@pytest.fixture
def begun(shell: Shell) -> Shell:
    """A job was begun, with a plate and a note."""
    start = ("start", "safety-setup", "--hear", "typed", "--job", "car", "--vehicle", "plate=DEMO 42")
    assert shell(*start, typed="done\ntake a note\nthe plug was loose\nplace is safe\nyes\n")[0] == 0
    return shell


def change(store: Path, *statements: str) -> None:
    """Change the store behind the program's back."""
    connection = sqlite3.connect(store / FILE_NAME)
    for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
        connection.execute(f"DROP TRIGGER {name}")
    for statement in statements:
        assert connection.execute(statement).rowcount > 0
    connection.commit()
    connection.close()


def words_of(document: Path) -> str:
    """What the first page of a document says."""
    if document.suffix == ".pdf":
        return PdfReader(document).pages[0].extract_text()
    return document.read_text(encoding="utf-8")


def own_copy(folder: Path, name: str) -> Path:
    """A shop's own file of a shipped id, worded otherwise."""
    folder.mkdir(parents=True)
    text = find_procedure(name).read_text(encoding="utf-8")
    head = next(line for line in text.splitlines() if line.startswith("title:"))
    path = folder / f"{name}.yaml"
    path.write_text(text.replace(head, f'title: "{OWN}"'), encoding="utf-8")
    return path


def test_a_job_goes_on_with_the_shops_own_file_and_reports_its_words(shell: Shell, tmp_path: Path) -> None:
    """Its id may be a shipped one, and the file may be gone: the text was kept with the job."""
    own = own_copy(tmp_path / "shop", "safety-setup")
    assert shell("start", str(own), "--hear", "typed", "--job", "car")[0] == 0
    own.unlink()
    code, out, _ = shell("resume", "car", "--hear", "typed")
    assert code == 0 and OWN in out
    report = tmp_path / "car.html"
    assert shell("report", "car", "--out", str(report))[0] == 0
    assert OWN in words_of(report)


def test_what_was_spoken_is_what_is_reported_whatever_the_files_say_later(
    begun: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shipped files are changed, as by an upgrade: report and resume go by those that the job was begun with."""
    before, after = tmp_path / "before.json", tmp_path / "after.json"
    assert begun("report", "car", "--format", "json", "--out", str(before))[0] == 0
    shipped = shipped_folder("procedures")
    changed = tmp_path / "changed"
    changed.mkdir()
    for file in shipped.iterdir():
        text = file.read_text(encoding="utf-8") if file.suffix in (".yaml", ".json") else ""
        (changed / file.name).write_text(text.replace("never", "always").replace("title: ", "title: Other "), "utf-8")
    for module in (folders, library):
        monkeypatch.setattr(module, "shipped_folder", lambda name: changed)
    assert begun("report", "car", "--format", "json", "--out", str(after))[0] == 0
    old, new = (json.loads(path.read_text()) for path in (before, after))
    assert old["cautions"] == new["cautions"] and old["cautions"]
    assert old["procedure"] == new["procedure"]
    code, out, _ = begun("resume", "car", "--hear", "typed")
    assert code == 0 and "Other" not in out


def test_a_job_whose_procedures_cannot_be_followed_any_more_is_closed(
    begun: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A version that cannot read them says how to close it, and does; nothing is stranded."""
    read = library.read_procedure

    def another_version(path: str, text: str) -> object:
        return read(path, text if "/" in path else "format: of an older day\n")

    monkeypatch.setattr(library, "read_procedure", another_version)
    code, _, err = begun("resume", "car", "--hear", "typed")
    assert code == 2 and "hoodside jobs close 'car'" in err
    assert begun("jobs", "close", "car", "--left-off")[0] == 0
    assert begun("jobs", "verify")[0] == 0
    code, _, err = begun("resume", "car", "--hear", "typed")
    assert code == 2 and "is closed" in err


@pytest.mark.parametrize("kind", [*SEALED, "invoice"])
def test_each_document_of_a_changed_job_says_so_first(begun: Shell, tmp_path: Path, kind: str) -> None:
    """Exit code 1, and across the first page that it is not as it was recorded."""
    change(tmp_path / "here" / "data", "UPDATE facts SET body = replace(body, 'Put on', 'Take off')")
    out = tmp_path / f"car.{kind}"
    code, _, err = begun("report", "car", "--format", kind, "--out", str(out))
    assert code == 1 and "NOT as it was recorded" in err
    words = words_of(out)
    assert ("NOT AS RECORDED" in words) or (kind == "json" and json.loads(words)["damage"])


def test_a_changed_job_is_neither_resumed_nor_exported(begun: Shell, tmp_path: Path) -> None:
    """Resume verifies first; import is not the first to notice: no file is written."""
    assert begun("start", "safety-setup", "--hear", "typed", "--job", "sound")[0] == 0
    change(
        tmp_path / "here" / "data",
        "UPDATE facts SET body = replace(body, 'DEMO', 'DEMA') || ' ' WHERE job_no = 1 AND number = 2",
    )
    code, _, err = begun("resume", "car", "--hear", "typed")
    assert code == 1 and "not as it was recorded" in err
    out = tmp_path / "car.jsonl"
    code, _, err = begun("jobs", "export", "car", "--out", str(out))
    assert code == 1 and "was left out" in err and not out.exists()
    code, _, err = begun("jobs", "export", "--all", "--out", str(out))
    assert code == 1 and "Wrote 1 job" in err
    assert begun("jobs", "import", str(out), machine="there")[0] == 0


@pytest.mark.parametrize("kind", [*SEALED, "export"])
def test_what_left_the_shop_is_compared_whole(begun: Shell, tmp_path: Path, kind: str) -> None:
    """The head is read out of every format, and the same store passes, also when it has grown since."""
    paper = tmp_path / f"car.{kind}"
    wanted = ("jobs", "export", "car") if kind == "export" else ("report", "car", "--format", kind)
    assert begun(*wanted, "--out", str(paper))[0] == 0
    assert begun("resume", "car", "--hear", "typed", typed="take a note\nanother\n")[0] == 0
    code, out, err = begun("jobs", "verify", "car", "--against", str(paper))
    assert (code, out) == (0, "1 job checked: every fact is as it was recorded.\n")
    assert "All that was in the store when that document was made" in " ".join(err.split())
    made = paper.read_bytes()
    paper.write_bytes(made.replace(b"safety", b"sefety", 1) if kind != "pdf" else made.replace(b"obj", b"obJ", 1))
    assert begun("jobs", "verify", "car", "--against", str(paper))[0] == 1


def test_another_jobs_report_is_no_proof_of_this_one(begun: Shell, tmp_path: Path) -> None:
    """It was compared with nothing and called right."""
    assert begun("start", "safety-setup", "--hear", "typed", "--job", "other")[0] == 0
    report = tmp_path / "other.html"
    assert begun("report", "other", "--out", str(report))[0] == 0
    code, _, err = begun("jobs", "verify", "car", "--against", str(report))
    assert code == 1 and "is of job 'other'" in err


def test_an_old_copy_put_back_is_known_apart_from_the_store(begun: Shell, tmp_path: Path) -> None:
    """It is sound in itself; what this machine remembers says that it went further, until that is accepted."""
    store = tmp_path / "here" / "data" / FILE_NAME
    older = store.read_bytes()
    assert begun("resume", "car", "--hear", "typed", typed="take a note\nanother\n")[0] == 0
    store.write_bytes(older)
    for left in store.parent.glob(f"{FILE_NAME}-*"):
        left.unlink()
    code, _, err = begun("jobs", "verify")
    assert code == 1 and "an older copy of the store was put back" in err
    _, _, err = begun("resume", "car", "--hear", "typed")
    assert "older copy" in err
    assert begun("jobs", "verify")[0] == 1
    begun("jobs", "verify", "--accept-store")
    assert begun("jobs", "verify")[0] == 0


def test_of_stores_that_stood_in_its_place_only_the_last_is_told(shell: Shell, tmp_path: Path) -> None:
    """Who throws a folder away now and then is told once a command, not once for each."""
    for name in ("first", "second", "third"):
        _, _, err = shell("start", "safety-setup", "--hear", "typed", "--job", name)
        assert err.count("is of another store") == (name != "first")
        shutil.rmtree(tmp_path / "here" / "data")


def test_a_key_is_replaced_in_the_open_and_a_lost_one_is_asked_about(begun: Shell, tmp_path: Path) -> None:
    """The next key is signed by the one before and told; one that nobody signed is wrong until it is known."""
    code, first, _ = begun("jobs", "key")
    assert code == 0 and len(first.strip()) == 64
    code, second, err = begun("jobs", "key", "--replace")
    assert code == 0 and first.strip() in err and second != first
    code, _, err = begun("jobs", "verify")
    assert code == 0 and f"signed with {second[:16]}, as {first[:16]} signed" in err
    (tmp_path / "here" / "settings" / "hoodside" / "signing-key").unlink()
    assert begun("resume", "car", "--hear", "typed")[0] == 1  # nothing is added to what cannot be proved
    code, third, _ = begun("jobs", "key")
    code, _, err = begun("jobs", "verify")
    assert code == 1 and third[:16] in err
    code, _, _ = begun("jobs", "verify", "--key", third.strip())
    assert code == 0


def test_the_key_is_the_users_alone_and_apart_from_the_store(begun: Shell, tmp_path: Path) -> None:
    """Mode 0600 in a folder of its own; no file of the data folder holds it."""
    begun("jobs", "key")
    key = tmp_path / "here" / "settings" / "hoodside" / "signing-key"
    assert key.stat().st_mode & 0o777 == 0o600 and key.parent.stat().st_mode & 0o077 == 0
    secret = key.read_bytes()
    assert all(secret not in path.read_bytes() for path in (tmp_path / "here" / "data").rglob("*") if path.is_file())


def test_a_removal_travels_to_where_the_job_went(begun: Shell, tmp_path: Path) -> None:
    """Exported again after the removal, the job takes the plate away on the other machine too, and on a third."""
    out, again = tmp_path / "car.jsonl", tmp_path / "again.jsonl"
    assert begun("jobs", "export", "car", "--out", str(out))[0] == 0
    assert begun("jobs", "import", str(out), machine="there")[0] == 0
    assert begun("jobs", "list", "--vehicle", "DEMO 42", machine="there")[0] == 0
    assert begun("jobs", "forget", "car", "--words")[0] == 0
    assert begun("jobs", "export", "car", "--out", str(again))[0] == 0
    code, _, err = begun("jobs", "import", str(again), machine="there")
    assert code == 0 and "as was asked on" in err
    assert begun("jobs", "list", "--vehicle", "DEMO 42", machine="there")[0] == 1
    assert b"DEMO 42" not in (tmp_path / "there" / "data" / FILE_NAME).read_bytes()
    assert begun("jobs", "verify", machine="there")[0] == 0
    onward = tmp_path / "onward.jsonl"
    assert begun("jobs", "export", "car", "--out", str(onward), machine="there")[0] == 0
    assert begun("jobs", "import", str(out), machine="third")[0] == 0
    code, _, err = begun("jobs", "import", str(onward), machine="third")
    assert "from which this job did not come: they were left here" in " ".join(err.split())
    digits = begun("jobs", "key")[1].strip()
    assert "as was asked on" in begun("jobs", "import", str(onward), "--removals-of", digits, machine="third")[2]
    assert begun("jobs", "list", "--vehicle", "DEMO 42", machine="third")[0] == 1

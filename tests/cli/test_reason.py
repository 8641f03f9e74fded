"""`hoodside reason`: one JSON value, and clear words for what cannot be done."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.__main__ import run
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.guide import begin
from assistant.wiring import procedures_at_hand, shipped_procedures

CAR_START = str(Path(__file__).parent.parent / "outside" / "fault_models" / "car-start-a.faults.yaml")


def test_prints_odds_and_tests_as_one_json_value(capsys: pytest.CaptureFixture[str]) -> None:
    """Standard output is one JSON value with the odds of every fault and the tests ranked."""
    assert run(["reason", CAR_START, "--seen", "start=no"]) == 0
    captured = capsys.readouterr()
    found = json.loads(captured.out)
    assert set(found) == {"faults", "next"}
    assert found["faults"]["no-fuel"] == pytest.approx(0.293186, abs=1e-6)
    assert [set(row) for row in found["next"]] == [{"test", "gain_bits", "cost_min", "score"}]
    assert found["next"][0]["test"] == "fuel-meter"
    assert "fuel meter" in captured.err


def test_shipped_model_by_id_and_by_reading(capsys: pytest.CaptureFixture[str]) -> None:
    """The shipped model is found by its id, and a reading goes by its band."""
    assert run(["reason", "no-start", "--seen", "battery-at-rest=11.2", "--seen", "cranking-speed=slow"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert next(iter(found["faults"])) == "battery-flat"
    scores = [row["score"] for row in found["next"]]
    assert scores == sorted(scores, reverse=True)
    assert "battery-at-rest" not in {row["test"] for row in found["next"]}


@pytest.mark.parametrize(
    ("seen", "code", "words"),
    [
        ("start", 2, "is not NAME=VALUE"),
        ("strat=no", 2, "has no test 'strat'; it has fuel-meter, start"),
        ("start=maybe", 2, "'maybe' is not a result of 'start'; it has yes, no"),
    ],
)
def test_wrong_findings(seen: str, code: int, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A finding that the model cannot take is refused in words, with what it has."""
    assert run(["reason", CAR_START, "--seen", seen]) == code
    captured = capsys.readouterr()
    assert captured.out == ""
    assert words in captured.err


def test_broken_model_tells_every_fault(capsys: pytest.CaptureFixture[str]) -> None:
    """A broken model prints each fault with line and column and exits 1."""
    broken = Path(__file__).parent.parent / "broken" / "many-faults.faults.yaml"
    assert run(["reason", str(broken)]) == 1
    assert capsys.readouterr().err.count("many-faults.faults.yaml:") == 5


def test_missing_model(capsys: pytest.CaptureFixture[str]) -> None:
    """A model that is not there is wrong use."""
    assert run(["reason", "nowhere.faults.yaml"]) == 2
    assert "cannot be read" in capsys.readouterr().err


def test_what_cannot_be_is_answered_no(capsys: pytest.CaptureFixture[str]) -> None:
    """Findings that no one and no two faults allow end in one sentence and exit code 1."""
    polybox = str(Path(CAR_START).parent / "polybox.faults.yaml")
    assert run(["reason", polybox, "--seen", "x=4", "--seen", "y=4", "--seen", "z=4"]) == 1
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "cannot be under this model" in captured.err


def test_the_shop_s_confirmed_repairs_move_the_odds_and_can_be_taken_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Confirmed at the desk when the job is closed or later; shown; taken back, all is as it was."""
    data = ["--data", str(tmp_path)]
    library = procedures_at_hand(shipped_procedures())
    journal = SqliteJournal(tmp_path, lambda: "2031-05-01T09:00:00.000Z")
    journal.keep_texts({one.digest: one.text for one in library.values()})
    for job in ("grey-hatchback", "red-van"):
        journal.append(begin(library, "no-start", f"key-{job}", job, {}).facts)
    journal.close()

    def odds() -> tuple[dict[str, float], list[dict[str, object]]]:
        capsys.readouterr()
        assert run(["reason", "no-start", *data]) == 0
        told = json.loads(capsys.readouterr().out)
        return told["faults"], told["learned"]

    before, learned = odds()
    assert learned == []
    assert run(["jobs", "close", "grey-hatchback", "--repair", "security", *data]) == 0
    assert run(["jobs", "close", "red-van", *data]) == 0
    assert run(["jobs", "close", "red-van", "--repair", "security", *data]) == 0
    after, learned = odds()
    assert after["security"] > before["security"]
    assert (learned[0]["fault"], learned[0]["repairs"]) == ("security", 2)
    for job in ("grey-hatchback", "red-van"):
        assert run(["jobs", "close", job, "--no-repair", *data]) == 0
    assert odds() == (before, [])
    assert run(["jobs", "verify", *data]) == 0


@pytest.mark.parametrize(
    ("more", "words"),
    [(["--repair", "gremlin"], "has no fault 'gremlin'"), (["--repair", "security", "--no-repair"], "not both")],
)
def test_a_repair_that_means_nothing_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str], words: str
) -> None:
    """One sentence, and the job stays open."""
    journal = SqliteJournal(tmp_path, lambda: "2031-05-01T09:00:00.000Z")
    facts = begin(procedures_at_hand(shipped_procedures()), "no-start", "key", "red-van", {}).facts
    journal.append(facts)
    journal.close()
    assert run(["jobs", "close", "red-van", *more, "--data", str(tmp_path)]) == 2
    assert words in capsys.readouterr().err
    journal = SqliteJournal(tmp_path, lambda: "2031-05-01T09:00:00.000Z")
    assert journal.facts("red-van") == facts
    journal.close()

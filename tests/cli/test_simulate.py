"""`hoodside simulate`, as it is typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.__main__ import run

STUCK = """
id: stuck
version: 1
title: A made-up job that cannot always end
applies_to: Made-up cars
tools: []
consumables: []
sources: []
begin: look
steps:
  - id: look
    kind: ask
    say: What do you see?
    hazards: []
    minutes: 1
    place: hood
    results:
      - {id: good, phrases: [all is well], goes: by-drive}
      - {id: bad, phrases: [full of dirt], goes: end}
  - id: by-drive
    kind: choose
    vehicle: hybrid
    cases: {yes: look-again}
    otherwise: end
    hazards: []
    minutes: 0
    place: hood
  - id: look-again
    kind: ask
    say: Now what do you see?
    hazards: []
    minutes: 1
    place: hood
    results:
      - {id: good, phrases: [all is well], goes: round}
      - {id: bad, phrases: [full of dirt], goes: round}
  - id: round
    kind: choose
    vehicle: hybrid
    cases: {yes: look-again}
    otherwise: end
    hazards: []
    minutes: 0
    place: hood
  - id: end
    kind: finding
    say: That is all.
    hazards: []
    minutes: 0
    place: hood
    finding: {proved: [], likely: [], untested: [], advice: Go on., customer: It goes on.}
"""


def test_a_sound_procedure_is_told_in_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    """A shipped id: every figure, what was kept, and the rate; exit code 0."""
    assert run(["simulate", "boost-battery", "--whole", "3"]) == 0
    out = capsys.readouterr().out
    assert out.splitlines()[1].split()[:3] == ["boost-battery", "8/8", "6/6"]
    assert "8 of 8 steps walked.\n6 of 6 results walked.\nNo dead ends, " in out
    assert "paths a minute." in out
    assert max(map(len, out.splitlines())) <= 80


def test_json_is_one_value(capsys: pytest.CaptureFixture[str]) -> None:
    """Coverage, dead ends, longest path, every rule, and each procedure."""
    assert run(["simulate", "vapour-cleared", "boost-battery", "--whole", "2", "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert plain["steps"]["walked"] == plain["steps"]["of"] > 0
    assert plain["results"]["walked"] == plain["results"]["of"] > 0
    assert (plain["dead_ends"], plain["faults"]) == (0, [])
    assert all(plain["kept"].values()) and {"duty", "cautions", "vapour", "ends"} <= set(plain["kept"])
    assert plain["longest_min"] > 0 and plain["paths_per_min"] > 0
    assert [each["procedure"] for each in plain["procedures"]] == ["vapour-cleared", "boost-battery"]


def test_a_fault_is_told_with_its_place_and_the_way_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file that the check lets pass, and that one vehicle never leaves: exit code 1."""
    file = tmp_path / "stuck.yaml"
    file.write_text(STUCK, encoding="utf-8")
    assert run(["check", str(file)]) == 0
    capsys.readouterr()
    assert run(["simulate", str(tmp_path), "--whole", "0"]) == 1
    out = capsys.readouterr().out
    assert "stuck.yaml:28:5 step 'look-again': found a way to this step from which the job can never end" in out
    assert "(given hybrid yes; said all is well)" in out
    assert "Found dead ends: 1." in out


def test_what_is_there_is_checked_where_a_file_is_missing(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Every fault at once, and the file that is not there by its name."""
    (tmp_path / "bad.yaml").write_text("id: other\n")
    assert run(["check", str(tmp_path / "bad.yaml"), "none.yaml"]) == 2
    out, err = capsys.readouterr()
    assert "found no key 'steps'" in out
    assert err == "hoodside: There is no file 'none.yaml'.\n"


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (["no-such-job"], 2, "There is no procedure 'no-such-job'"),
        (["{folder}/none.yaml"], 2, "There is no procedure file"),
        (["{folder}"], 2, "There is no procedure file in these folders."),
        (["{folder}/a.faults.yaml"], 2, "is a fault model; simulate walks procedures."),
        (["vapour-cleared", "--whole", "-1"], 2, "-1"),
        ([], 2, "PATH"),
    ],
)
def test_wrong_use_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, message: str
) -> None:
    """Nothing to walk: the right exit code and what is wrong."""
    given = [each.format(folder=tmp_path) for each in arguments]
    assert run(["simulate", *given]) == code
    out, err = capsys.readouterr()
    assert out == "" and message in err and err.count("\n") == 1


def test_a_file_with_faults_is_not_walked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What the check refuses is mended first."""
    file = tmp_path / "stuck.yaml"
    file.write_text(STUCK.replace("begin: look", "begin: nowhere"), encoding="utf-8")
    assert run(["simulate", str(file)]) == 1
    err = capsys.readouterr().err
    assert "nowhere" in err and "Run: hoodside check" in err

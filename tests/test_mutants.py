"""The small wrongs by which `.ci/proof` tries the tests."""

import ast
import json
import math
import os
import runpy
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
SOURCE = '''
"""Words 1 < 2."""
LEAST: dict[int, str] = {}
FORBIDDEN = {(1, "spark"), (2, "clamp")}
def may(at_s: float, rest_s: float = 120.0) -> bool:
    """Not 3 > 4."""
    if not at_s:
        raise ValueError(f"{at_s + 1}")
    note(at_s)
    return at_s >= rest_s and "spark" in FORBIDDEN
'''


def test_each_wrong_is_a_program_and_differs_in_what_it_says():
    """Thresholds, conditions, forbidden pairs, refusals and calls are each broken once; words and types never are."""
    mutants_of = runpy.run_path(str(ROOT / ".ci" / "mutants.py"))["mutants_of"]
    found = list(mutants_of(SOURCE))
    assert all(ast.dump(ast.parse(each.text)) != ast.dump(ast.parse(SOURCE)) for each in found)
    assert len({each.text for each in found}) == len(found)
    changes = {(each.was, each.now) for each in found}
    assert {
        ("120.0", "121.0"),
        ("at_s >= rest_s", "(at_s > rest_s)"),
        ("at_s >= rest_s", "(at_s <= rest_s)"),
    } <= changes
    assert {("not at_s", "(at_s)"), ("note(at_s)", "pass")} <= changes
    assert any(each.line == 4 and each.now == "({(2, 'clamp')})" for each in found)
    assert any(each.was.startswith("raise") and each.now == "pass" for each in found)
    assert not any(each.line in (2, 3, 6) for each in found)


def test_a_line_belongs_to_its_innermost_statement():
    """A table is one statement, a condition is its head alone; a wrong in the midst of either is tried by its tests."""
    statements_of = runpy.run_path(str(ROOT / ".ci" / "mutants.py"))["statements_of"]
    found = statements_of("TABLE = (\n    1,\n    2,\n)\nif (\n    TABLE\n):\n    x = 1\n    y = (\n        2)\n")
    assert [found[line] for line in (1, 3, 4)] == [range(1, 5)] * 3
    assert [found[line] for line in (5, 6, 7)] == [range(5, 8)] * 3
    assert found[8] == range(8, 9) and found[10] == range(9, 11)


def test_a_wrong_is_tried_by_the_first_tests_that_there_is_patience_for():
    """Quick ones and the file's own come first; one that is too long is passed over for a shorter one behind it."""
    rules = runpy.run_path(str(ROOT / ".ci" / "in_turn.py"))
    took_s = {"test_other.py::a": 0.4, "test_file.py::b": 0.4, "test_file.py::c": 9.0, "test_other.py::d": 2.0}
    in_turn = rules["in_turn"](took_s, set(), "file")
    assert [each[-1] for each in in_turn] == ["b", "a", "c", "d"]
    assert [each[-1] for each in rules["within"](3.0, took_s, in_turn)] == ["b", "a", "d"]
    assert rules["within"](math.inf, took_s, in_turn) == in_turn
    assert rules["within"](0.1, took_s, in_turn) == []
    assert [each[-1] for each in in_turn if rules["is_near"](each, took_s, "file")] == ["b"]
    beside = rules["in_turn"](took_s | {"test_third.py::e": 0.45}, set(), "file", {"test_third.py::e"})
    assert [each[-1] for each in beside] == ["b", "e", "a", "c", "d"]
    assert rules["in_turn"](took_s, {"test_other.py::d", "test_file.py::c"}, "file") == in_turn[2:]


def test_a_room_is_watched_anew_when_what_its_tests_may_read_has_changed():
    """Its own tests, what they share, sources and procedures; neither prose nor another room's tests."""
    counts = runpy.run_path(str(ROOT / ".ci" / "proof"))["_counts"]
    tests = ("tests/guide", "tests/session/test_leading.py::test_a", "--deselect=tests/guide/test_b.py::test_c")
    for name in ("assistant/bay.py", "procedures/no-start.yaml", "tests/guide/test_a.py", "tests/conftest.py"):
        assert counts(name, tests)
    assert counts("tests/session/test_leading.py", tests) and counts("tests/session/led.py", tests)
    assert not counts("README.md", tests) and not counts(".ci/proof", tests)
    assert not counts("tests/session/test_other.py", tests)


def test_a_test_that_takes_longer_than_it_may_is_broken_off_and_named(tmp_path):
    """It tries no wrong; the others are timed, and told of with the lines that they ran."""
    (tmp_path / "watching.py").write_text(runpy.run_path(str(ROOT / ".ci" / "proof"))["WATCHING"])
    (tmp_path / "thing.py").write_text("def one():\n    return 1\ndef two():\n    return 2\n")
    (tmp_path / "test_it.py").write_text(
        "import thing\n"
        "def test_long():\n    while thing.two():\n        pass\n"
        "def test_short():\n    assert thing.one()\n"
        "def test_that_fails_when_broken_off():\n    try:\n        test_long()\n"
        "    except BaseException as error:\n        raise AssertionError from error\n"
    )
    watched = ["-m", "coverage", "run", "--branch", "--source", "."]
    command = [*watched, "-m", "pytest", "-q", "-p", "watching", "test_it.py"]
    around = os.environ | {"PART": "0/1", "LONGEST_S": "0.3", "PYTHONPATH": str(tmp_path)}
    subprocess.run([sys.executable, *command], cwd=tmp_path, env=around, check=True, capture_output=True)
    assert list(json.loads((tmp_path / "0-times.json").read_text())) == ["test_it.py::test_short"]
    left_out = ["test_it.py::test_long", "test_it.py::test_that_fails_when_broken_off"]
    assert json.loads((tmp_path / "0-left-out.json").read_text()) == left_out
    told = [sys.executable, "-m", "coverage", "json", "-q", "--show-contexts", "-o", "covered.json"]
    subprocess.run(told, cwd=tmp_path, env=around, check=True, capture_output=True)
    lines = json.loads((tmp_path / "covered.json").read_text())["files"]["thing.py"]["contexts"]
    assert lines["2"] == ["test_it.py::test_short"] and sorted(lines["4"]) == left_out

"""The small wrongs by which `.ci/proof` tries the tests."""

import ast
import runpy
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

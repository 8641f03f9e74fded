"""Every shipped procedure, walked by machine."""

from __future__ import annotations

import pytest

from assistant.simulation import Report, Rule, simulate, told_tests
from assistant.wiring import load_libraries, load_model, shipped_procedures


@pytest.fixture(scope="module")
def report() -> Report:
    """The whole family, with some whole jobs of each."""
    roots, library = load_libraries(shipped_procedures())
    model = load_model("no-start")
    told = {"no-start": told_tests(model)}
    blocks = {"no-start": [block.step for block in model.blocks]}
    return simulate(library, roots, whole_jobs=3, told=told, blocks=blocks)


def test_every_step_and_result_is_walked_and_every_path_ends(report: Report) -> None:
    """A hundred percent of both, in at least twenty procedures, with no dead end."""
    assert len(report.accounts) >= 20
    for what in ("steps", "results"):
        walked, written = report.share(what)
        assert walked == written > 0
    assert not report.broken[Rule.ENDS]


@pytest.mark.parametrize("rule", list(Rule))
def test_no_path_breaks_a_rule(report: Report, rule: Rule) -> None:
    """Cautions, gates, duty, vapour, tries, nothing left off, and the books: on every path."""
    assert [str(fault) for fault in report.broken[rule]] == []


def test_the_walk_met_what_it_looks_out_for(report: Report) -> None:
    """Without hazards, rests and findings on the way, keeping the rules would prove nothing."""
    main = next(account for account in report.accounts if account.procedure == "no-start")
    assert main.hazardous > 1_000 and main.cautions > 1_000 and main.rests > 100
    assert main.findings >= 12
    assert main.paths > 1_000
    assert main.led > 1_000 and main.led_situations > 10_000
    assert main.told > 1_000 and main.inherited > 10 and main.aside > 10_000

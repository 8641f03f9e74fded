"""Every shipped procedure, walked by machine."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from assistant.procedure import flow
from assistant.reasoning.links import outcomes
from assistant.simulation import Report, Rule, simulate, told_tests
from assistant.wiring import load_libraries, load_model, shipped_procedures

TOLD = {"no-start": told_tests(load_model("no-start"))}


@pytest.fixture(scope="module")
def report() -> Report:
    """The whole family by the book, told tests and inherited cars included, with some whole jobs of each."""
    roots, library = load_libraries(shipped_procedures())
    return simulate(library, roots, whole_jobs=3, told=TOLD)


@pytest.fixture(scope="module")
def led_report() -> Report:
    """The same, and no-start once more led from its first turn: twenty minutes."""
    roots, library = load_libraries(shipped_procedures())
    blocks = {"no-start": [block.step for block in load_model("no-start").blocks]}
    return simulate(library, roots, whole_jobs=3, told=TOLD, blocks=blocks)


def only_led() -> Mapping[str, int]:
    """The steps that nothing but a plan leads to, and how many results each has: those that it enters, the crank with a
    dry cap and its finding."""
    _, library = load_libraries(shipped_procedures())
    main = library["no-start"]
    assert main.led is not None
    found = {
        "damp-cap-on",
        "damp-crank",
        "damp-cap",
        "damp-plugs-crank",
        "damp-plugs-dry",
        "injectors-dead",
        *main.led.only,
    }
    assert flow.only_led(main) == found
    return {step: len(outcomes(main.step(step))) for step in found}


def test_every_step_and_result_is_walked_and_every_path_ends(report: Report) -> None:
    """A hundred percent of both but for what only a plan enters, in at least twenty procedures, with no dead end."""
    assert len(report.accounts) >= 20
    for what in ("steps", "results"):
        walked, written = report.share(what)
        left = only_led()
        assert written - walked == (len(left) if what == "steps" else sum(left.values()))
    assert not report.broken[Rule.ENDS]


@pytest.mark.parametrize("rule", list(Rule))
def test_no_path_breaks_a_rule(report: Report, rule: Rule) -> None:
    """Cautions, gates, duty, vapour, tries, nothing left off, and the books: on every path."""
    led = [f"step '{step}': found no path" for step in only_led()]
    assert [str(fault) for fault in report.broken[rule] if not any(each in str(fault) for each in led)] == []


@pytest.mark.campaign
def test_no_led_job_breaks_a_rule_either(led_report: Report) -> None:
    """Wherever the plan is asked every block follows, with any vehicle; then every step and result is walked."""
    assert {rule: [str(fault) for fault in led_report.broken[rule]] for rule in Rule} == {rule: [] for rule in Rule}
    main = next(account for account in led_report.accounts if account.procedure == "no-start")
    assert main.led > 1_000 and main.led_situations > 10_000


def test_the_walk_met_what_it_looks_out_for(report: Report) -> None:
    """Without hazards, rests and findings on the way, keeping the rules would prove nothing."""
    main = next(account for account in report.accounts if account.procedure == "no-start")
    assert main.hazardous > 1_000 and main.cautions > 1_000 and main.rests > 100
    assert main.findings >= 12
    assert main.paths > 1_000
    assert main.told > 1_000 and main.inherited > 10 and main.aside > 10_000

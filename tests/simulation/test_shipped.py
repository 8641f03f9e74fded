"""Every shipped procedure, walked by machine."""

from __future__ import annotations

import os
import pickle
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

from assistant.procedure import flow
from assistant.reasoning.links import outcomes
from assistant.simulation import Report, Rule, simulate, told_tests
from assistant.simulation.coverage import Coverage
from assistant.simulation.search import Search
from assistant.wiring import load_libraries, load_model, shipped_procedures

TOLD = {"no-start": told_tests(load_model("no-start"))}


@pytest.fixture(scope="module")
def report() -> Report:
    """The whole family by the book, told tests and inherited cars included, with some whole jobs of each."""
    roots, library = load_libraries(shipped_procedures())
    return simulate(library, roots, whole_jobs=3, told=TOLD)


@pytest.fixture(scope="module")
def led_walk() -> Search:
    """No-start led from its first turn: nine minutes of a core. With WALK_FILE it is kept there, and with WALK_S broken
    off after so many seconds, to be gone on with by the next run."""
    kept, seconds = os.environ.get("WALK_FILE"), float(os.environ.get("WALK_S", "inf"))
    began = time.monotonic()
    if kept and Path(kept).exists():
        walk: Search = pickle.loads(Path(kept).read_bytes())  # our own file
    else:
        _, library = load_libraries(shipped_procedures())
        blocks = [block.step for block in load_model("no-start").blocks]
        walk = Search(library, "no-start", Coverage(library), told=TOLD["no-start"], blocks=blocks)
    goes_on = True
    while goes_on and time.monotonic() - began < seconds:
        goes_on = walk.goes_on()
    if kept:
        Path(kept).write_bytes(pickle.dumps(walk))
    if goes_on:
        pytest.skip(f"broken off with {walk.due} situations due; go on with the same WALK_FILE")
    return walk


def only_led() -> Mapping[str, int]:
    """The steps that nothing but a plan leads to, and how many results each has: those that it enters, the crank with a
    dry cap and its finding, and the end of what was mended before we were told."""
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
        "mended",
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
def test_no_led_job_breaks_a_rule_either(led_walk: Search) -> None:
    """Wherever the plan is asked every block follows, with any vehicle; the steps that only it enters are walked, each
    with all its results."""
    walked = led_walk.end()
    assert [(found.wrong, found.way.told()) for found in walked.found] == []
    assert walked.led > 100_000 and walked.graph.size > 50_000
    given = [step for procedure, step, _ in led_walk.coverage.results if procedure == "no-start"]
    assert {("no-start", step) for step in only_led()} <= led_walk.coverage.steps
    assert {step: given.count(step) for step in only_led()} == only_led()


def test_the_walk_met_what_it_looks_out_for(report: Report) -> None:
    """Without hazards, rests and findings on the way, keeping the rules would prove nothing."""
    main = next(account for account in report.accounts if account.procedure == "no-start")
    assert main.hazardous > 1_000 and main.cautions > 1_000 and main.rests > 100
    assert main.findings >= 12
    assert main.paths > 1_000
    assert main.told > 1_000 and main.inherited > 10 and main.aside > 10_000

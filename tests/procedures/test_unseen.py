"""What was not seen is kept apart: it opens no way to the spray, proves nothing and moves no odds."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
import yaml

from assistant.procedure.flow import ways_of
from assistant.procedure.model import Kind, Procedure
from tests.procedures.fault_player import FOLDER

Library = Mapping[str, Procedure]

UNSEEN = {
    "fuel-substitute": {"label": "unknown", "leaks": "unseen"},
    "fuel-substitute-paced": {"label": "unknown", "leaks": "unseen", "start-type": "unknown", "result": "unknown"},
    "fuel-supply": {"sound": "unseen", "filter-place": "unseen", "volume-means": "unknown"},
    "fuel-sample": {"sample": "unseen"},
    "fuel-pressure": {"gauge": "unknown", "system": "unknown", "rail-crank": "unseen", "carb-look": "unseen"},
    "comes-and-goes": {"wiggle": "untested", "warm": "untested", "cool-sensor": "untested"},
    "one-plug": {"plug-out": "unseen"},
    "injector-pulse": {"system": "unknown", "pulse-crank": "unseen", "lamp": "unseen"},
    "air-and-exhaust": {"filter": "unseen", "tail-crank": "unseen"},
    "vacuum-cranking": {"vacuum-crank": "unseen"},
    "recheck-start": {"look": "unseen"},
}
"""The result of each question, by procedure and step, that says that nothing was seen."""


def _reached(procedure: Procedure, step_id: str, result_id: str) -> set[str]:
    """Steps that lie behind a result."""
    waiting = [next(result.goes for result in procedure.step(step_id).results if result.id == result_id)]
    seen: set[str] = set()
    while waiting:
        step = waiting.pop()
        if step not in seen:
            seen.add(step)
            waiting.extend(way.goes for way in ways_of(procedure.step(step)))
    return seen


@pytest.mark.parametrize("name", ["fuel-substitute", "fuel-substitute-paced"])
@pytest.mark.parametrize(("step", "result"), [("label", "unknown"), ("leaks", "unseen")])
def test_no_spray_where_label_or_leaks_were_not_seen(shipped: Library, name: str, step: str, result: str) -> None:
    """A label that cannot be read, or an engine that cannot be looked round, refuses the spray."""
    kinds = {shipped[name].step(reached).kind for reached in _reached(shipped[name], step, result)}
    assert Kind.PACE not in kinds


def test_a_lamp_not_seen_is_nowhere_said_to_have_gone_out(shipped: Library) -> None:
    """The finding behind an unseen security lamp does not count it among what is proved."""
    procedure = shipped["injector-pulse"]
    findings = [procedure.step(step).finding for step in _reached(procedure, "lamp", "unseen")]
    proved = [line for finding in findings if finding for line in finding.proved]
    assert proved
    assert not [line for line in proved if "lamp" in line]


def test_a_filter_not_found_is_left_untested(shipped: Library) -> None:
    """The finding behind a filter that was not found says so, and condemns nothing for certain."""
    procedure = shipped["fuel-supply"]
    findings = [procedure.step(step).finding for step in _reached(procedure, "filter-place", "unseen")]
    assert [any("filter" in line for line in finding.untested) for finding in findings if finding] == [True]


def test_what_was_not_seen_moves_no_odds(shipped: Library) -> None:
    """No test of the fault model is fed by a result that says that nothing was seen."""
    model = yaml.safe_load((FOLDER.parents[2] / "procedures/no-start.faults.yaml").read_text(encoding="utf-8"))
    fed = {
        (seen["procedure"], seen["step"], result)
        for test in model["tests"]
        for seen in test.get("seen_from", ())
        for result in seen.get("results", ())
    }
    assert ("injector-pulse", "lamp", "out") in fed
    for name, steps in UNSEEN.items():
        for step, result in steps.items():
            assert result in {each.id for each in shipped[name].step(step).results}, f"{name}/{step}"
            assert (name, step, result) not in fed

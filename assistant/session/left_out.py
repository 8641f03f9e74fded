"""Which tests the technician cannot or will not do: what was left out by word is not proposed again in the job."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.facts import Fact, FactKind, PlanChanged, StepSkipped, TestLeftOut
from assistant.reasoning.model import Model, Variable

LEAVING = frozenset({FactKind.STEP_SKIPPED, FactKind.TEST_LEFT_OUT})
"""The kinds of fact that leave tests out."""

NO_TOOL = "no-tool"


def left_out(model: Model, facts: Iterable[Fact]) -> frozenset[str]:
    """The tests that these facts leave out: those of a step that was skipped, unless by the guide itself; those that
    cannot be done; and, where a tool is missing, all that need it."""
    found: set[str] = set()
    led_to = ""
    for fact in facts:
        said = fact.said
        if isinstance(said, PlanChanged) and said.to:
            led_to = said.test
        elif isinstance(said, StepSkipped) and said.by == "technician":
            found |= _asked_at(model, fact)
        elif isinstance(said, TestLeftOut):
            meant = _meant(model, fact, led_to)
            found |= meant
            found |= _with_its_tools(model, meant) if said.why == NO_TOOL else set()
    return frozenset(found)


def _asked_at(model: Model, fact: Fact) -> set[str]:
    here = (fact.procedure, fact.step)
    return {test.id for test in model.tests if any((at.procedure, at.step) == here for at in test.seen_from)}


def _meant(model: Model, fact: Fact, led_to: str) -> set[str]:
    """The tests of the step; of one that only prepares, what the plan came for, or all that its procedure asks."""
    asked = _asked_at(model, fact)
    if asked:
        return asked
    inside = {test.id for test in model.tests if any(at.procedure == fact.procedure for at in test.seen_from)}
    if led_to and (led_to in inside or fact.procedure == model.id):
        return {led_to}
    return inside if fact.procedure != model.id else set()


def _with_its_tools(model: Model, names: Iterable[str]) -> set[str]:
    """Every test that needs a tool of these: the set-up that they share, or what must not be missing."""
    works = [model.test(name).work for name in names]
    tools = {tool for work in works if work is not None for tool in (*work.set_ups, *work.unless)}
    return {test.id for test in model.tests if _needs(test) & tools}


def _needs(test: Variable) -> set[str]:
    return set() if test.work is None else {*test.work.set_ups, *test.work.unless}

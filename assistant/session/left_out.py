"""Which tests the technician cannot or will not do: what was skipped by word is not proposed again in the job."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.facts import Fact, FactKind
from assistant.reasoning.model import Model


def left_out(model: Model, facts: Iterable[Fact]) -> frozenset[str]:
    """The tests that are asked in the steps which these facts skip, but for those skipped by the guide itself."""
    steps = {
        (fact.procedure, fact.step)
        for fact in facts
        if fact.kind is FactKind.STEP_SKIPPED and fact.data.get("by") == "technician"
    }
    return frozenset(test.id for test in model.tests if any((at.procedure, at.step) in steps for at in test.seen_from))

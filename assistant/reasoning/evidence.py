"""What a procedure logged → evidence of the fault model."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.reasoning.model import Model, Seen, Variable

Logged = tuple[str, str, str | float]
"""Procedure id, step id, and the result or band id, or the reading itself in the unit of the step."""


def evidence_from_facts(model: Model, logged: Iterable[Logged]) -> dict[str, str]:
    """Test → result, for all that the model can use. A later log of the same test replaces the earlier one.

    Leave struck facts out of `logged`, in order of time. What the model knows nothing of is passed over.
    """
    evidence: dict[str, str] = {}
    for procedure, step, answer in logged:
        for test in model.tests:
            for seen in test.seen_from:
                if (seen.procedure, seen.step) == (procedure, step):
                    value = _meaning(test, seen, answer)
                    if value is not None:
                        # Taken out first, so that the order of the evidence is the order of the last word on each.
                        evidence.pop(test.id, None)
                        evidence[test.id] = value
    return evidence


def result_of_reading(test: Variable, reading: float) -> str | None:
    """The result whose band holds the reading, in the unit of the test; None where the test has no bands."""
    for band in test.bands:
        if (band.at_least is None or reading >= band.at_least) and (band.below is None or reading < band.below):
            return band.result
    return None


def _meaning(test: Variable, seen: Seen, answer: str | float) -> str | None:
    if isinstance(answer, str):
        return seen.results.get(answer)
    return result_of_reading(test, answer)

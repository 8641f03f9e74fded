"""The tests that a technician may tell unasked, as far as they leave something so of car and bay."""

from __future__ import annotations

from assistant.language.model import TellTest
from assistant.procedure.condition import Condition
from assistant.procedure.remedies import FORBIDDING
from assistant.reasoning.model import Model


def told_tests(model: Model) -> tuple[TellTest, ...]:
    """One for each state that a test of the model can leave and that forbids some work."""
    found: dict[frozenset[str], TellTest] = {}
    for test in model.tests:
        for value in test.values:
            makes = test.made(value.id)
            forbidding = frozenset(word for word in makes if Condition(word) in FORBIDDING)
            if forbidding:
                found.setdefault(forbidding, TellTest(test=test.id, result=value.id, words=value.say, makes=makes))
    return tuple(found.values())

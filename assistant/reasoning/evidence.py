"""What a procedure logged → evidence of the fault model.

Fault codes come one by one; each is a result id by itself, `none` stands for "no codes". A code that the model does not
list means its result `other`, where it has one. Of several codes of one step the worst counts.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable

from assistant.reasoning.model import Model, Seen, Variable

Logged = tuple[str, str, str | float]
"""Procedure id, step id, and the fault code, the result or band id, or the reading itself in the unit of the step.

Of a test done by own choice: `OWN_CHOICE`, the test's id, and the id of its result.
"""

OWN_CHOICE = ""
"""Stands in place of the procedure where none asked for the test."""

BY_EAR = "by ear"
"""Stands in place of the procedure where the ear measured something; the step is empty."""

OTHER_CODE = "other"
_CODE = re.compile("[PBCU][0-3][0-9A-F]{3}")
"""A fault code as in SAE J2012 (form from memory)."""


def evidence_from_facts(model: Model, logged: Iterable[Logged], known: Collection[str] = ()) -> dict[str, str]:
    """Test → result, for all that the model can use. A later log of the same test replaces the earlier one.

    Leave struck facts out of `logged`, in order of time. What the model knows nothing of is passed over, and so is what
    a later result undid: a lamp that flashed with another key flashes no more. What the ear measured stands for a test
    that nobody told the result of, here or before: `known`.
    """
    evidence: dict[str, str] = {}
    asked = defaultdict[tuple[str, str], list[tuple[Variable, Seen]]](list)
    for test in model.tests:
        for seen in test.seen_from:
            asked[seen.procedure, seen.step].append((test, seen))
    for procedure, step, answer in logged:
        if procedure == OWN_CHOICE:
            _tell(model, evidence, step, str(answer))
            continue
        if procedure == BY_EAR:
            for test in (each for each in model.tests if each.id not in evidence and each.id not in known):
                _tell(model, evidence, test.id, test.heard.get(str(answer), ""))
            continue
        for test, seen in asked.get((procedure, step), ()):
            value = _meaning(test, seen, answer)
            if value is not None:
                # Taken out first, so that the order of the evidence is the order of the last word on each.
                before = evidence.pop(test.id, None)
                evidence[test.id] = _worse(test, before, value) if _is_code(answer) else value
                _undo(evidence, test, value)
    return evidence


def _tell(model: Model, evidence: dict[str, str], name: str, result: str) -> None:
    """Take what was told of a test, where the model knows both: a newer model may have lost one of them."""
    known = next((test for test in model.tests if test.id == name), None)
    if known is not None and any(value.id == result for value in known.values):
        evidence.pop(name, None)
        evidence[name] = result
        _undo(evidence, known, result)


def _undo(evidence: dict[str, str], test: Variable, value: str) -> None:
    """Take out what is so no more since the test came out so."""
    for name in test.values[test.index(value)].outdates:
        evidence.pop(name, None)


def result_of_reading(test: Variable, reading: float) -> str | None:
    """The result whose band holds the reading, in the unit of the test; None where the test has no bands."""
    for band in test.bands:
        if (band.at_least is None or reading >= band.at_least) and (band.below is None or reading < band.below):
            return band.result
    return None


def _meaning(test: Variable, seen: Seen, answer: str | float) -> str | None:
    if not isinstance(answer, str):
        return result_of_reading(test, answer)
    return seen.results.get(answer, seen.results.get(OTHER_CODE) if _is_code(answer) else None)


def _is_code(answer: str | float) -> bool:
    return isinstance(answer, str) and _CODE.fullmatch(answer) is not None


def _worse(test: Variable, one: str | None, other: str) -> str:
    return other if one is None or test.index(other) >= test.index(one) else one

"""What people have answered to the questions of procedures, to understand the next ones by.

A JSON object: procedure -> step -> result -> what was said, in plain lower-case words. What belongs to no step or
result of a procedure, or to two results of a step, is passed over: procedures change, and examples are only examples.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace

from assistant.errors import ProcedureError
from assistant.procedure.model import Procedure, Step

Examples = dict[str, dict[str, dict[str, list[str]]]]


def read_examples(text: str, source: str) -> Examples:
    """The examples in a file. Raises ProcedureError where it is no such JSON."""
    try:
        found = json.loads(text)
        whole = all(
            isinstance(said, str)
            for steps in found.values()
            for results in steps.values()
            for told in results.values()
            for said in told
        )
    except (ValueError, AttributeError, TypeError) as error:
        raise ProcedureError(f"{source}: no examples in JSON: {error}") from error
    if not whole:
        raise ProcedureError(f"{source}: an example is no text; expected procedure, step, result and a list of texts")
    examples: Examples = found
    return examples


def with_examples(procedure: Procedure, examples: Examples) -> Procedure:
    """The procedure with what people have answered to it."""
    told = examples.get(procedure.id, {})
    steps = tuple(_with(step, told[step.id]) if step.id in told else step for step in procedure.steps)
    return replace(procedure, steps=steps)


def _with(step: Step, told: dict[str, list[str]]) -> Step:
    meanings = Counter(said for each in told.values() for said in set(each))
    results = tuple(
        replace(result, examples=tuple(said for said in dict.fromkeys(told.get(result.id, ())) if meanings[said] == 1))
        for result in step.results
    )
    return replace(step, results=results)

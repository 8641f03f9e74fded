"""Which tests each block of a procedure asks: the block's own steps and all that they call, up to the next block."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.guide import Library
from assistant.guide.state import Frame
from assistant.procedure.condition import Condition
from assistant.procedure.flow import ways_of
from assistant.procedure.forbidden import forbids
from assistant.procedure.model import Kind
from assistant.reasoning.model import Model


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """The shortest way to a test in a block. `steps`: before its own; `closed_by`: what forbids a step of the way."""

    steps: int
    closed_by: frozenset[Condition]


def asked_in_blocks(model: Model, library: Library) -> Mapping[str, Mapping[str, Inside]]:
    """Block -> the tests that its steps ask, each with the way there; empty for another procedure."""
    if model.id not in library:
        return {}
    asks, ends = _asks(model), {block.step for block in model.blocks}
    return {
        block.step: _tests(model.id, Frame(procedure=model.id, step=block.step), library, asks, ends)
        for block in model.blocks
    }


def asked_ahead(model: Model, library: Library, target: Frame, stack: Sequence[Frame]) -> frozenset[str]:
    """The tests that may be asked from a step on, in its procedure and behind the calls that wait, in this block.

    `stack`: the call steps that wait, outermost first.
    """
    asks, ends = _asks(model), {block.step for block in model.blocks}
    found = set(_tests(model.id, target, library, asks, ends))
    for caller in stack:
        for way in ways_of(library[caller.procedure].step(caller.step)):
            if not (caller.procedure == model.id and way.goes in ends):
                found |= set(_tests(model.id, Frame(procedure=caller.procedure, step=way.goes), library, asks, ends))
    return frozenset(found)


def _asks(model: Model) -> Mapping[tuple[str, str], list[str]]:
    """Place -> the tests that it asks."""
    asks: dict[tuple[str, str], list[str]] = {}
    for test in model.tests:
        for seen in test.seen_from:
            asks.setdefault((seen.procedure, seen.step), []).append(test.id)
    return asks


def _tests(
    root: str, begin: Frame, library: Library, asks: Mapping[tuple[str, str], list[str]], ends: set[str]
) -> dict[str, Inside]:
    found: dict[str, Inside] = {}
    nothing = frozenset[Condition]()
    waiting = deque([(begin.procedure, begin.step, 0, nothing)])
    seen = {(begin.procedure, begin.step)}
    while waiting:
        procedure, step_id, deep, before = waiting.popleft()
        step = library[procedure].step(step_id)
        closed_by = before | forbids(step)
        for test in asks.get((procedure, step_id), ()):
            found.setdefault(test, Inside(steps=deep, closed_by=closed_by))
        onward = [(procedure, way.goes) for way in ways_of(step)]
        if step.kind is Kind.CALL and step.calls is not None and step.calls in library:
            onward.append((step.calls, library[step.calls].begin))
        for place in onward:
            if place not in seen and not (place[0] == root and place[1] in ends):
                seen.add(place)
                waiting.append((*place, deep + 1, closed_by))
    return found

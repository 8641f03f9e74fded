"""What leads where in a procedure: the ways out of each step and the steps that can be reached."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from assistant.procedure.model import Band, Kind, Procedure, Result, Spot, Step

OTHERWISE = "otherwise"


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way out of a step.

    `answer`: the id of a result, outcome or band, the value of a case, `otherwise`, or None where only one way exists.
    """

    answer: str | None
    goes: str
    spot: Spot


def ways_of(step: Step) -> tuple[Way, ...]:
    """Every way out of a step, in the order written; none from a return or a finding."""
    ways = [Way(answer=None, goes=step.next, spot=_at(step, "next"))] if step.next else []
    parts: tuple[Result | Band, ...] = (*step.results, *step.bands)
    ways += [Way(answer=part.id, goes=part.goes, spot=part.spots.get("goes", part.spot)) for part in parts]
    ways += [Way(answer=value, goes=goes, spot=_at(step, f"cases.{value}")) for value, goes in step.cases.items()]
    if step.otherwise:
        ways.append(Way(answer=OTHERWISE, goes=step.otherwise, spot=_at(step, OTHERWISE)))
    return tuple(ways)


def steps_by_id(procedure: Procedure) -> Mapping[str, Step]:
    """Step id → step; the first of two with one id."""
    return {step.id: step for step in reversed(procedure.steps)}


def reachable(procedure: Procedure) -> frozenset[str]:
    """Ids of the steps that some path from `begin`, or a plan, enters."""
    return _reached(procedure, [procedure.begin, *(procedure.led.only if procedure.led else ())])


def only_led(procedure: Procedure) -> frozenset[str]:
    """Ids of the steps that no path enters but one on which a plan leads."""
    return reachable(procedure) - _reached(procedure, [procedure.begin])


def _reached(procedure: Procedure, due: list[str]) -> frozenset[str]:
    steps = steps_by_id(procedure)
    found: set[str] = set()
    while due:
        step_id = due.pop()
        if step_id in steps and step_id not in found:
            found.add(step_id)
            due += [way.goes for way in ways_of(steps[step_id])]
    return frozenset(found)


def leads_to(procedure: Procedure, ends: Iterable[str]) -> frozenset[str]:
    """Ids of the steps from which one of `ends` can be reached, the ends among them."""
    into: dict[str, list[str]] = {}
    for step in procedure.steps:
        for way in ways_of(step):
            into.setdefault(way.goes, []).append(step.id)
    found: set[str] = set()
    due = list(ends)
    while due:
        step_id = due.pop()
        if step_id not in found:
            found.add(step_id)
            due += into.get(step_id, [])
    return frozenset(found)


def chooses(step: Step) -> bool:
    """Whether the answer decides the way on, so that it must be confirmed before it is logged."""
    return len({way.goes for way in ways_of(step)}) > 1


def calls_of(procedure: Procedure) -> tuple[tuple[Step, str], ...]:
    """The steps that call another procedure, each with the id that it calls."""
    return tuple((step, step.calls) for step in procedure.steps if step.kind is Kind.CALL and step.calls)


def _at(step: Step, key: str) -> Spot:
    return step.spots.get(key, step.spot)

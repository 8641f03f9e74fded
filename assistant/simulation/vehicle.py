"""What is known of the vehicle, kept open until a step looks: given beforehand, asked on the way, or not known.

Values that lead the same way so far stay together, so that the number of situations does not multiply. Nothing is left
out by this: a step that sends them different ways parts them, and each part is walked from there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from assistant.facts import Fact, StepEntered, VehicleNoted
from assistant.guide import Library, Turn
from assistant.procedure.model import Kind, Step
from assistant.procedure.vehicle import VEHICLE_FACTS

Value = str | None
"""The value of a vehicle fact; None: not given and not asked so far."""

Vehicle = Mapping[str, str | float]
"""What the guide is told."""

Possible = Mapping[str, frozenset[Value]]
"""Vehicle fact → what it can be, all of it alike until now; a fact that is not there can be anything."""

ANYTHING: Mapping[str, frozenset[Value]] = {
    fact: frozenset[Value]((None, *values)) for fact, values in VEHICLE_FACTS.items()
}


def possible_values(possible: Possible, fact: str) -> frozenset[Value]:
    """What the fact can be."""
    return possible.get(fact) or ANYTHING.get(fact) or frozenset((None,))


def known_exactly(vehicle: Vehicle) -> Possible:
    """What the vehicle can be when it is just this."""
    values = {fact: vehicle.get(fact) for fact in VEHICLE_FACTS}
    return {fact: frozenset((None if value is None else str(value),)) for fact, value in values.items()}


def turns_of(
    library: Library, run: Callable[[Vehicle], Turn], vehicle: Vehicle, possible: Possible
) -> Iterator[tuple[Turn, Possible]]:
    """Each turn that one command can lead to, with what the vehicle can be then.

    `run`: the turn of the command when so much is known of the vehicle.
    """
    turn = run(vehicle)
    now = possible
    noted: dict[str, str] = {}
    for fact in turn.facts:
        said = fact.said
        if isinstance(said, VehicleNoted) and said.answered:
            noted[said.fact] = str(said.value)
            now = {**now, said.fact: _alike_answers(_step(library, fact), str(said.value))}
        step = looks(library, fact)
        if step is None or step.vehicle is None:
            continue
        parts = parted(step, possible_values(now, step.vehicle))
        if len(parts) == 1:
            continue
        if step.vehicle in noted:  # the other answers are moves of their own
            now = {**now, step.vehicle: next(part for part in parts if noted[step.vehicle] in part)}
            continue
        for part in parts:
            known = _knowing(vehicle, step.vehicle, part)
            yield from turns_of(library, run, known, {**possible, step.vehicle: part})
        return
    yield turn, now


def looks(library: Library, fact: Fact) -> Step | None:
    """The step that looks at a vehicle fact as it is entered, or None."""
    if not isinstance(fact.said, StepEntered) or fact.said.how in ("return", "again"):
        return None
    step = _step(library, fact)
    return step if step.kind in (Kind.ASK, Kind.CHOOSE) and step.vehicle else None


def parted(step: Step, values: frozenset[Value]) -> tuple[frozenset[Value], ...]:
    """The values by where the step leads with them without a word; with some it asks."""
    by_way: dict[str, set[Value]] = {}
    for value in sorted(values, key=lambda each: each or ""):
        by_way.setdefault(_way(step, value), set()).add(value)
    return tuple(frozenset(part) for part in by_way.values())


def _way(step: Step, value: Value) -> str:
    if step.kind is Kind.CHOOSE:
        return step.cases.get(value or "", step.otherwise or "")
    return next((result.goes for result in step.results if result.id == value), "")


def _alike_answers(step: Step, value: str) -> frozenset[Value]:
    goes = {result.id: result.goes for result in step.results}
    return frozenset(result for result in goes if goes[result] == goes.get(value))


def _knowing(vehicle: Vehicle, fact: str, part: frozenset[Value]) -> Vehicle:
    """The vehicle with one of these values; any of them leads the same way."""
    known = {name: value for name, value in vehicle.items() if name != fact}
    value = chosen_value(part)
    return known if value is None else {**known, fact: value}


def chosen_value(part: frozenset[Value]) -> Value:
    """The value that stands for all of them; none where none is possible."""
    return min(part, key=lambda each: each or "")


def _step(library: Library, fact: Fact) -> Step:
    return library[str(fact.procedure)].step(str(fact.step))

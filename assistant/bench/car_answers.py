"""What a car drawn from the fault model says at each step that feeds one of its tests."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from assistant.bench.reason_cars import Car
from assistant.guide import Library
from assistant.language.numbers import say_number
from assistant.language.quantities import convert, decimals_of, possible_range, unit_named
from assistant.procedure.model import Band, Procedure, Step
from assistant.reasoning.links import outcomes
from assistant.reasoning.model import Model, Seen, Variable

CRANKED = "cranking-check/turn"
LOW_PSI, GOOD_PSI = 60, 160
COMPRESSION: Mapping[str, tuple[int, ...]] = {"one-low": (2,), "pair-low": (2, 3), "all-low": tuple(range(1, 9))}
"""Result of the compression test -> the cylinders that read low."""


def spoken_answers(library: Library, model: Model, car: Car) -> dict[str, list[str]]:
    """ "procedure/step" -> what is said there the first time and when it is asked once more."""
    fed: dict[tuple[str, str], list[tuple[Variable, Seen]]] = {}
    for test in model.tests:
        for seen in test.seen_from:
            if seen.procedure in library:
                fed.setdefault((seen.procedure, seen.step), []).append((test, seen))
    found: dict[str, list[str]] = {}
    for (procedure, step_id), tests in fed.items():
        step = library[procedure].step(step_id)
        told = [_result(step, tests, shown) for shown in (car.answers, car.again)]
        if any(told):
            found[f"{procedure}/{step_id}"] = [_said(library[procedure], step, result) for result in told if result]
    if car.answers.get("starts-and-dies") == "dies":
        turn = library["cranking-check"].step("turn")
        found[CRANKED] = [_said(library["cranking-check"], turn, "started")]
    return found | _compression(car.answers.get("compression", ""))


def _result(step: Step, tests: list[tuple[Variable, Seen]], shown: Mapping[str, str]) -> str:
    """Of several tests of one step the result that most of them agree to; the first is the step's own."""
    means = [{result for result, value in seen.results.items() if value == shown[test.id]} for test, seen in tests]
    offered = outcomes(step)
    best = max(offered, key=lambda result: [result in each for each in means], default="")
    return best if any(best in each for each in means) else ""


def _said(procedure: Procedure, step: Step, result: str) -> str:
    """A phrase of the result, or a reading in the middle of its band."""
    for known in step.results:
        if known.id == result:
            return known.phrases[0]
    for band in step.bands:
        if band.id == result:
            return _reading(procedure, step, band)
    return "no more codes"


def _reading(procedure: Procedure, step: Step, band: Band) -> str:
    if step.quantity is None or step.unit is None:
        raise ValueError(f"the step '{step.id}' reads nothing")
    ends = {one.id: convert(one.value, one.unit, step.unit) for one in procedure.limits if one.id in _ends(band)}
    low, high = possible_range(step.quantity, step.unit)
    at_least, below = (ends.get(end) for end in _ends(band))
    if at_least is not None and below is not None:
        value = (at_least + below) / 2
    elif at_least is not None:
        value = at_least + (high - at_least) * 0.05 if at_least <= 0 else min(high, at_least * 1.03)
    else:
        value = low if below is None else max(low, below * 0.7)
    digits = decimals_of(step.quantity, step.unit)
    number = Decimal(str(round(value, digits))) if digits else Decimal(round(value))
    return f"{say_number(number)} {unit_named(step.unit).many}"


def _ends(band: Band) -> tuple[str, str]:
    return band.at_least or "", band.below or ""


def _compression(verdict: str) -> dict[str, list[str]]:
    low = COMPRESSION.get(verdict, ())
    return {
        f"compression/read-{number}": [f"{say_number(LOW_PSI if number in low else GOOD_PSI)} p s i"]
        for number in range(1, 9)
    }

"""What a car drawn from the fault model says at each step that feeds one of its tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from assistant.bench.reason_cars import Car
from assistant.bench.reason_tree import CRANKED, agreed, fed_by
from assistant.guide import Library
from assistant.language.codes import say_code
from assistant.language.numbers import say_number
from assistant.language.quantities import convert, decimals_of, possible_range, unit_named
from assistant.procedure.model import Band, Kind, Procedure, Step
from assistant.reasoning.evidence import OTHER_CODE
from assistant.reasoning.links import outcomes
from assistant.reasoning.model import Model, Seen, Variable
from assistant.session.logged import NO_CODES

NO_MORE = "no more codes"
UNLISTED = "P0420"
"""A code that no fault model of ours lists, for one that has nothing to do with it."""

LOW_PSI, GOOD_PSI = 60, 160
COMPRESSION: Mapping[str, tuple[int, ...]] = {"one-low": (2,), "pair-low": (2, 3), "all-low": tuple(range(1, 9))}
"""Result of the compression test -> the cylinders that read low."""


def spoken_answers(library: Library, model: Model, car: Car) -> dict[str, list[str]]:
    """ "procedure/step" -> what is said there the first time and when it is asked once more."""
    found: dict[str, list[str]] = {}
    for (procedure, step_id), tests in fed_by(model).items():
        if procedure not in library:
            continue
        step = library[procedure].step(step_id)
        if step.kind is Kind.TELL:  # these complain of nothing but that it does not start
            continue
        if step.kind is Kind.CODES:
            found[f"{procedure}/{step_id}"] = [
                word for shown in (car.answers, car.again) for word in _codes(tests, shown)
            ]
            continue
        told = [_result(step, tests, shown) for shown in (car.answers, car.again)]
        if any(told):
            found[f"{procedure}/{step_id}"] = [_said(library[procedure], step, result) for result in told if result]
    if car.answers.get("starts-and-dies") in ("dies", "runs"):
        procedure, step_id = CRANKED
        found["/".join(CRANKED)] = [_said(library[procedure], library[procedure].step(step_id), "started")]
    return found | _compression(car.answers.get("compression", ""))


def _result(step: Step, tests: Sequence[tuple[Variable, Seen]], shown: Mapping[str, str]) -> str:
    """The result that says what the car shows; empty where the step offers none that does."""
    means = [{result for result, value in seen.results.items() if value == shown[test.id]} for test, seen in tests]
    offered = outcomes(step)
    best = agreed(offered, means) if offered else ""
    return best if any(best in each for each in means) else ""


def _codes(tests: Sequence[tuple[Variable, Seen]], shown: Mapping[str, str]) -> Sequence[str]:
    """The fault code that means what the car shows, if any, and that there is no other."""
    for test, seen in tests:
        meant = [code for code, value in seen.results.items() if value == shown[test.id] and code != NO_CODES]
        if meant:
            return [say_code(UNLISTED if meant[0] == OTHER_CODE else meant[0]), NO_MORE]
    return [NO_MORE]


def _said(procedure: Procedure, step: Step, result: str) -> str:
    """A phrase of the result, or a reading in the middle of its band."""
    for known in step.results:
        if known.id == result:
            return known.phrases[0]
    for band in step.bands:
        if band.id == result:
            return _reading(procedure, step, band)
    raise ValueError(f"the step '{step.id}' has no result '{result}'")


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

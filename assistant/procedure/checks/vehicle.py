"""Vehicle facts and their values come from one closed list, and "unknown" always has its way."""

from __future__ import annotations

from assistant.procedure.checks.book import Page, at
from assistant.procedure.model import Kind, Step
from assistant.procedure.vehicle import UNKNOWN, VEHICLE_FACTS


def check_vehicle(page: Page) -> None:
    """Steps that ask for a vehicle fact and steps that choose by one."""
    for step in page.procedure.steps:
        if step.vehicle is None:
            continue
        if step.vehicle not in VEHICLE_FACTS:
            page.step_fault(
                step,
                "vehicle",
                f"found the vehicle fact '{step.vehicle}'; expected one of {', '.join(VEHICLE_FACTS)}; "
                "do write one of them",
            )
        elif step.kind is Kind.ASK:
            _check_ask(page, step, VEHICLE_FACTS[step.vehicle])
        else:
            _check_cases(page, step, VEHICLE_FACTS[step.vehicle])


def _check_ask(page: Page, step: Step, values: tuple[str, ...]) -> None:
    for result in step.results:
        if result.id and result.id not in values:
            page.faults.add(at(result.spots, "id", result.spot), _no_value(step, result.id, values), step=step.id)
    if UNKNOWN in values and step.results and all(result.id != UNKNOWN for result in step.results):
        page.step_fault(
            step,
            "results",
            f"found no result '{UNKNOWN}' for '{step.vehicle}'; expected one, for the technician may not know; "
            "do add it",
        )


def _check_cases(page: Page, step: Step, values: tuple[str, ...]) -> None:
    for value in step.cases:
        if value not in values:
            page.step_fault(step, f"cases.{value}", _no_value(step, value, values))
    if not step.cases and "cases" in step.spots:
        page.step_fault(step, "cases", "found no case; expected at least one; do write 'value: step'")


def _no_value(step: Step, value: str, values: tuple[str, ...]) -> str:
    return (
        f"found the value '{value}' of '{step.vehicle}'; expected one of {', '.join(values)}; "
        "do write one of them (in quotes if it is a number)"
    )

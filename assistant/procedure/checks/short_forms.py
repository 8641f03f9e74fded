"""Short forms: each is shorter than what it stands for, and leaves out nothing that could hurt to miss."""

from __future__ import annotations

from assistant.procedure.checks.book import Page
from assistant.procedure.model import Kind, Step
from assistant.procedure.read_step import SILENT
from assistant.procedure.short_form import lost, told


def check_short_forms(page: Page) -> None:
    """Every `briefly`, `tersely` and `joins` of the procedure."""
    for step in page.procedure.steps:
        for key, text in (("briefly", step.briefly), ("tersely", step.tersely)):
            if text:
                _check_short(page, step, key, text)
        if step.joins and (bound := _bound(step)):
            page.step_fault(
                step,
                "joins",
                f"found 'joins' in a step with {bound}; expected one that only tells something; do take it out, for "
                "nobody says done to it",
            )


def _check_short(page: Page, step: Step, key: str, text: str) -> None:
    if step.kind in SILENT or step.kind is Kind.FINDING:
        message = f"found '{key}' in a {step.kind} step; expected it where something is asked or told; do take it out"
        page.step_fault(step, key, message)
        return
    missing = lost(step, text)
    if missing:
        page.step_fault(
            step,
            key,
            f"found that '{key}' leaves out {', '.join(missing)}; expected every number, unit and prohibition of 'say' "
            "and 'alone'; do say it there too",
        )
    elif len(text.split()) >= len(told(step).split()):
        message = (
            f"found '{key}' no shorter than what it stands for; expected fewer words; do shorten it or take it out"
        )
        page.step_fault(step, key, message)


def _bound(step: Step) -> str:
    """What the step has that needs a done of its own."""
    found = {
        "hazards": step.all_hazards,
        "cautions": step.cautions,
        "gates": step.gates,
        "removes": step.removes,
        "refits": step.refits,
        "needs": step.needs,
        "makes": step.makes,
        "needs_two": step.needs_two,
    }
    return ", ".join(name for name, value in found.items() if value)

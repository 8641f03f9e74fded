"""Whether the places that a fault model reads its findings from exist in the procedures."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.procedure.fault import Faults
from assistant.procedure.model import Kind, Procedure, Step
from assistant.reasoning.model import Model, Seen


def find_broken_links(model: Model, procedures: Mapping[str, Procedure], faults: Faults) -> None:
    """Note every `seen_from` that names a procedure, step or result that is not there."""
    root = procedures.get(model.id)
    for block in model.blocks:
        if root is not None and block.step not in {step.id for step in root.steps}:
            faults.add(
                block.spot,
                f"found no step '{block.step}' in procedure '{model.id}'; expected one of its steps; do mend it",
                step=block.step,
                noun="block",
            )
    for test in model.tests:
        for seen in test.seen_from:
            message = _broken(seen, procedures)
            if message:
                faults.add(seen.spot, message, step=test.id, noun="test")


def _broken(seen: Seen, procedures: Mapping[str, Procedure]) -> str | None:
    procedure = procedures.get(seen.procedure)
    if procedure is None:
        known = ", ".join(sorted(procedures))
        return f"found the unknown procedure '{seen.procedure}'; expected one of {known}; do mend it"
    step = next((step for step in procedure.steps if step.id == seen.step), None)
    if step is None:
        return f"found no step '{seen.step}' in procedure '{seen.procedure}'; expected one of its steps; do mend it"
    if step.kind is Kind.CODES:
        return None
    odd = ", ".join(result for result in seen.results if result not in outcomes(step))
    if odd:
        known = ", ".join(outcomes(step))
        return f"found unknown results {odd} of step '{seen.step}'; expected some of {known}; do mend them"
    return None


def outcomes(step: Step) -> tuple[str, ...]:
    """Ids of everything that the step can log: results and bands."""
    return tuple(result.id for result in step.results) + tuple(band.id for band in step.bands)

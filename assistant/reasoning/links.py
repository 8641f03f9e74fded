"""Whether the places that a fault model reads its findings from exist, and whether it reads all that is asked."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.procedure.fault import Faults
from assistant.procedure.model import Kind, Procedure, Step
from assistant.procedure.vehicle import TOLD_IN_PASSING
from assistant.reasoning.model import Model, Seen


def find_broken_links(model: Model, procedures: Mapping[str, Procedure], faults: Faults) -> None:
    """Note every `seen_from` that names a procedure, step or result that is not there, and every step that asks and
    neither feeds a test nor stands in `feeds_nothing`."""
    root = procedures.get(model.id)
    for block in model.blocks:
        if root is not None and block.step not in {step.id for step in root.steps}:
            faults.add(
                block.spot,
                f"found no step '{block.step}' in procedure '{model.id}'; expected one of its steps; do mend it",
                step=block.step,
                noun="block",
            )
    for fault in model.faults:
        if fault.followed_by and fault.followed_by not in procedures:
            odd = (
                f"found the unknown procedure '{fault.followed_by}' in 'followed_by'; expected a known one; do mend it"
            )
            faults.add(fault.spot, odd, step=fault.id, noun="fault")
    for test in model.tests:
        for seen in test.seen_from:
            message = _broken(seen, procedures)
            if message:
                faults.add(seen.spot, message, step=test.id, noun="test")
    if root is not None and not len(faults):
        _find_unread(model, procedures, faults)


def _find_unread(model: Model, procedures: Mapping[str, Procedure], faults: Faults) -> None:
    """Of all that the procedure of the model's name and what it calls ask."""
    fed = {f"{seen.procedure}/{seen.step}" for test in model.tests for seen in test.seen_from}
    asked = _asked(procedures, model.id)
    told: set[str] = set()
    for entry in model.feeds_nothing:
        for place in entry.steps:
            if place not in asked or place in fed or place in told:
                what = "feeds a test" if place in fed else "stands there twice" if place in told else "asks nothing"
                faults.add(
                    entry.spot,
                    f"found '{place}' in 'feeds_nothing', which {what}; expected a step that asks and feeds "
                    "no test, once; do delete it",
                )
            told.add(place)
    for place in sorted(asked - fed - told):
        faults.add(
            model.tests[0].spot,
            f"found the step '{place}', which asks and feeds no test; expected a test that it feeds, or a reason in "
            "'feeds_nothing'; do add one",
        )


def _asked(procedures: Mapping[str, Procedure], root: str) -> set[str]:
    """ "procedure/step" of every step with results, bands or codes, from the root on, calls included."""
    found: set[str] = set()
    waiting, seen = [root], {root}
    while waiting:
        procedure = procedures.get(waiting.pop())
        for step in procedure.steps if procedure is not None else ():
            if procedure is not None and step.kind in (Kind.ASK, Kind.READING, Kind.CRANK, Kind.CODES):
                found.add(f"{procedure.id}/{step.id}")
            if step.calls and step.calls not in seen:
                seen.add(step.calls)
                waiting.append(step.calls)
    return found


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
    """Ids of everything that the step can log: results and bands, of free words what they may tell in passing."""
    if step.kind is Kind.TELL:
        return TOLD_IN_PASSING
    return tuple(result.id for result in step.results) + tuple(band.id for band in step.bands)

"""An engine that is turned and not kept from running may run: every such crank is guarded as a running engine is.

The hazards bring the cautions with them (`cautions`), and what forbids a running engine in the table of forbidden work.
"""

from __future__ import annotations

from assistant.procedure.checks.book import Page
from assistant.procedure.model import Hazard, Kind, Step

RUNS = frozenset({Hazard.CRANKING, Hazard.RUNNING_ENGINE, Hazard.EXHAUST_GAS})
"""What an engine that starts brings with it."""

KEPT_STILL = frozenset({"fuel-off", "spark-off", "gauge-tight"})
"""Gates behind which an engine cannot run on: no fuel, no spark, or its plugs out and a gauge in one of the holes."""

SMELL = "no-smell"
"""Asked before each such crank: a starter sparks, and an engine that fires lights what is about."""

SPRAYED = "can-away"
"""Gate of a crank right after a spray, whose vapour is meant to be there: it asks for the can and not for the nose."""


def check_may_run(page: Page) -> None:
    """Cranks that may become a running engine without its hazards or without the question for the smell of fuel."""
    for step in page.procedure.steps:
        if step.kind is not Kind.CRANK or KEPT_STILL & set(step.gates):
            continue
        missing = sorted(RUNS - step.all_hazards)
        if missing:
            page.step_fault(
                step,
                "hazards",
                f"found a crank without {', '.join(missing)}; expected them wherever nothing keeps the engine from "
                f"running; do add them, or a gate of {', '.join(sorted(KEPT_STILL))}",
            )
        if not _asks_for_smell(step):
            page.step_fault(
                step,
                "gates",
                f"found a crank without the gate '{SMELL}'; expected it wherever nothing keeps the engine from "
                "running; do add it",
            )


def _asks_for_smell(step: Step) -> bool:
    return SMELL in step.gates or SPRAYED in step.gates

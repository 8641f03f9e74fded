"""What the state of car and bay means for each test: which must not be begun in it, and what getting ready costs.

The one table of forbidden work (`procedure.forbidden`) decides. A test is the work of the steps that ask for it, and
what its own lines in the fault model say of it beside them. What a remedy of some minutes undoes is set-up; what only a
repair undoes (a leak, the wrong fuel, a damaged battery) forbids the test.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from assistant.procedure.condition import UNDOES, C, Condition
from assistant.procedure.forbidden import forbids, forbids_hazards, remedies_in_turn
from assistant.procedure.model import Hazard, Procedure, Step
from assistant.procedure.remedies import REMEDIES
from assistant.reasoning.model import Model, Variable, Work
from assistant.reasoning.planner import Readiness

Ways = Mapping[str, frozenset[Condition]]
"""Test -> the conditions in which it must not be begun, or cannot be done."""


def closed_by(model: Model, procedures: Mapping[str, Procedure]) -> Ways:
    """The conditions that close each test, by the steps that ask for it and by its own lines."""
    found: dict[str, frozenset[Condition]] = {}
    for test in model.tests:
        seen = (seen for seen in test.seen_from if seen.procedure in procedures)
        found[test.id] = _closed(test, [procedures[each.procedure].step(each.step) for each in seen])
    return found


def readiness_of(
    ways: Ways, so: frozenset[Condition], among: Collection[str], cannot: Collection[str] = ()
) -> Readiness:
    """What the planner is told where this is so. `among`: tests that can be asked; `cannot`: those left out by word."""
    extra: dict[str, float] = {}
    forbidden = set(cannot)
    for test in among:
        minutes = _minutes_to_ready(ways.get(test, frozenset()), so)
        if minutes is None:
            forbidden.add(test)
        elif minutes:
            extra[test] = minutes
    return Readiness(extra_min=extra, forbidden=frozenset(forbidden), among=among)


def _minutes_to_ready(closes: frozenset[Condition], so: frozenset[Condition]) -> float | None:
    """Minutes of the remedies that come before the test; None where there is one that is no matter of minutes."""
    if closes & so - REMEDIES.keys():
        return None
    known = [REMEDIES[each].minutes for each in remedies_in_turn(closes, so)]
    minutes = [each for each in known if each is not None]
    return sum(minutes) if len(minutes) == len(known) else None


def _closed(test: Variable, steps: list[Step]) -> frozenset[Condition]:
    """What a test makes itself is no matter when it begins, unless it says that it needs it undone."""
    work = test.work
    if work is None:
        return frozenset()
    own = _hazards(work) - frozenset[Hazard]().union(*(step.all_hazards for step in steps))
    found = forbids_hazards(own, work.needs).union(*(forbids(step) for step in steps))
    found -= {Condition(word) for word in work.makes}
    found |= frozenset[Condition]().union(*(UNDOES[word] for word in work.needs if word in UNDOES))
    found |= {Condition(linger) for linger in work.not_during if linger in REMEDIES}
    return found | {Condition(word) for word in work.unless}


def _hazards(work: Work) -> frozenset[Hazard]:
    """The hazards that the lines of a test show, whichever step asks for it."""
    shown = {
        Hazard.CRANKING: work.cranks_s > 0.0,
        Hazard.SPRAYING: C.CAN_OUT in work.makes,
        Hazard.OPEN_FUEL_LINE: C.LINE_OPEN in work.makes,
        Hazard.EXPOSED_SPARK: C.TESTER_HUNG in work.makes,
    }
    return frozenset(hazard for hazard, so in shown.items() if so)

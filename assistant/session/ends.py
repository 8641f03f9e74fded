"""How the plan ends the tests: with a leak that is known, the repair that is proposed, or that no test is left."""

from __future__ import annotations

from dataclasses import replace

from assistant.english import live as texts
from assistant.guide import Library, State
from assistant.guide.places import step_at
from assistant.guide.state import Position
from assistant.guide.turn import Led
from assistant.procedure.condition import C
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.plan_words import say_plan
from assistant.reasoning.planner import Act, Plan
from assistant.reasoning.posterior import Belief, fault_odds, value_odds
from assistant.reasoning.reasoner import Reasoner
from assistant.session.ways import Moment

LEAK = "fuel-leak"
"""What the finding of a leak calls its fault."""


def end_of(library: Library, reasoner: Reasoner, here: Moment, plan: Plan) -> Led | None:
    """The step that proposes the repair, or the one that says that no test is left. With a leak known the leak is the
    end: it bars what would tell more, and is to be mended whatever else is wrong."""
    led = library[here.state.root].led
    if led is None:
        return None
    if C.LEAK in here.state.bay.conditions and LEAK not in here.failed:
        leaks = (step.id for step in library[here.state.root].steps if step.finding and step.finding.fault == LEAK)
        step = next(leaks, None)
        if step is not None:
            return Led(step=step, why=texts.LEAK_FIRST)
    why = say_plan(reasoner, here.belief, plan)
    if plan.act is Act.REPAIR and plan.name != NONE_OF_THESE and plan.name not in here.failed:
        known = _found_before(library, reasoner, here.state, plan.name)
        if known is None:
            return Led(step=led.repair, why=why, fault=plan.name)
        return Led(step=(*known.stack, known.at)[0].step, why=why, back=known)
    top = next(iter(fault_odds(reasoner.network, here.belief)))
    known = _found_before(library, reasoner, here.state, top) if top not in here.failed else None
    if known is not None:  # what was found says more than that nothing is left
        return Led(step=(*known.stack, known.at)[0].step, why=why, back=known)
    return Led(step=led.search, why=say_plan(reasoner, here.belief, replace(plan, act=Act.SEARCH)))


def _found_before(library: Library, reasoner: Reasoner, state: State, fault: str) -> Position | None:
    """The finding of this fault that was put aside while it was worth a test more: it says more than the odds."""
    for where in state.left.values():
        found = step_at(library, where.at).finding
        if found is not None and reasoner.model.meant_by(found.fault or "") == fault:
            return where
    return None


SEEN_GOOD = 0.9
"""From these odds on a condition counts as seen good. Judgement."""


def seen_good(reasoner: Reasoner, belief: Belief, names: set[str]) -> bool:
    """Whether each of these tests came out healthy, and each of these conditions is likely so by what was seen."""
    network, tests = reasoner.network, {test.id for test in reasoner.model.tests}
    if not names - belief.evidence.keys() <= network.nodes.keys() - tests:
        return False
    healthy = {name: network.nodes[name].values[0] for name in names}
    return all(value_odds(network, belief, name)[good] >= SEEN_GOOD for name, good in healthy.items())

"""Where the plan leaves the procedure alone, whatever else would pay more, and how what was named by word ends."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.facts import Fact, PlanChanged, ResultLogged
from assistant.guide import Library, State
from assistant.guide.leading import block_of
from assistant.guide.places import step_at
from assistant.guide.state import Frame
from assistant.procedure.model import Kind
from assistant.reasoning.evidence import evidence_from_facts
from assistant.reasoning.model import Model
from assistant.session.logged import logged
from assistant.session.thoughts import Thoughts


def got_ready(library: Library, state: State, target: Frame) -> bool:
    """Whether the starter is to try what was just got ready: fresh fuel in the tank proves nothing by itself."""
    done, tried = step_at(library, state.at), step_at(library, target)
    return state.at.procedure == target.procedure and done.kind is Kind.INSTRUCT and tried.kind is Kind.CRANK


def asked_for(library: Library, state: State, thoughts: Thoughts) -> bool:
    """Whether the technician took us to the block where we are, and what it calls has not come back: nobody is led out
    of the middle of what he chose."""
    came_back = not state.position.stack and step_at(library, state.at).kind is Kind.CALL
    return _named(state, thoughts.facts) is not None and not came_back


def ended(state: State, target: Frame, thoughts: Thoughts, facts: Sequence[Fact], tests: frozenset[str]) -> str:
    """What was answered last in a block that the technician named, where it ends without a result since the procedure
    goes on to `target`; else empty. `tests`: those that it is entered for; `facts`: of this turn so far."""
    since = _named(state, [*thoughts.facts, *facts])
    leaves = target.procedure == state.root and target.step != block_of(state)
    if since is None or not leaves or tests & evidence_from_facts(thoughts.reasoner.model, logged(since)).keys():
        return ""
    told = (said.words for fact in reversed(since) if isinstance(said := fact.said, ResultLogged) and not said.unsaid)
    return next(told, None) or ""


def of_faults_away(model: Model) -> frozenset[str]:
    """The procedures of which every test shows a fault that is away at present too."""
    lasting: dict[str, bool] = {}
    for test in model.tests:
        for seen in test.seen_from:
            lasting[seen.procedure] = test.lasting and lasting.get(seen.procedure, True)
    return frozenset(procedure for procedure, every in lasting.items() if every)


def _named(state: State, facts: Sequence[Fact]) -> Sequence[Fact] | None:
    """What was told since the technician took us to the block where we are; None where he did not."""
    for number, fact in reversed([*enumerate(facts)]):
        if isinstance(said := fact.said, PlanChanged):
            named = said.by == "technician" and said.to == block_of(state)
            return facts[number + 1 :] if named else None
    return None

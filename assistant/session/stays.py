"""Where the plan leaves the procedure alone, whatever else would pay more."""

from __future__ import annotations

from assistant.facts import PlanChanged
from assistant.guide import Library, State
from assistant.guide.leading import block_of
from assistant.guide.places import step_at
from assistant.guide.state import Frame
from assistant.procedure.model import Kind
from assistant.session.thoughts import Thoughts


def got_ready(library: Library, state: State, target: Frame) -> bool:
    """Whether the starter is to try what was just got ready: fresh fuel in the tank proves nothing by itself."""
    done, tried = step_at(library, state.at), step_at(library, target)
    return state.at.procedure == target.procedure and done.kind is Kind.INSTRUCT and tried.kind is Kind.CRANK


def asked_for(state: State, thoughts: Thoughts) -> bool:
    """Whether the technician took us to the block where we are: nobody is led out of the middle of what he chose."""
    changes = (fact.said for fact in reversed(thoughts.facts))
    last = next((said for said in changes if isinstance(said, PlanChanged)), None)
    return last is not None and last.by == "technician" and last.to == block_of(state)

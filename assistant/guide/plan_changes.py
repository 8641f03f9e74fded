"""What facts of the plan and of repairs change in a state."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.facts import Fact
from assistant.guide.places import Library, step_at
from assistant.guide.state import Frame, Position, State


def plan_changed(library: Library, state: State, fact: Fact) -> State:
    """Who leads, or where to; a block that is left takes what waited there with it."""
    left, again = fact.data.get("put_off"), fact.data.get("again")
    chosen = {str(fact.data[key]) for key in ("to", "put_off") if fact.data.get(key)}
    waiting = {step: at for step, at in state.left.items() if not (fact.data.get("back") and step == fact.data["to"])}
    if fact.data.get("aside"):
        aside = read(library, fact.data["aside"])
        waiting[(*aside.stack, aside.at)[0].step] = aside
    return replace(
        state,
        left=waiting,
        leads=bool(fact.data.get("leads", state.leads)),
        chosen=state.chosen | chosen | ({second_look(str(again))} if again else set()),
        proposed=str(fact.data.get("fault", "")) if "to" in fact.data else state.proposed,
        pending=None if left else state.pending,
        timed=None if left else state.timed,
        finding=False if left else state.finding,
        repaired=None if left else state.repaired,
    )


def written(position: Position) -> list[list[str]]:
    """A position as a fact keeps it: the calls that wait, outermost first, then the step itself."""
    return [[frame.procedure, frame.step] for frame in (*position.stack, position.at)]


def read(library: Library, kept: Sequence[Sequence[str]]) -> Position:
    """The position that a fact keeps. Raises ValueError for none, MissingStep for a step that the library lacks."""
    *stack, at = frames(library, kept)
    return Position(at=at, stack=tuple(stack))


def frames(library: Library, kept: Sequence[Sequence[str]]) -> tuple[Frame, ...]:
    """The steps that a fact keeps. Raises ValueError for what are none, MissingStep for one that the library lacks."""
    found = tuple(Frame(procedure=str(procedure), step=str(step)) for procedure, step in kept)
    for frame in found:
        step_at(library, frame)
    return found


def second_look(test: str) -> str:
    """How a plan's second look at a test is kept among what it chose."""
    return f"again {test}"


def left_out(library: Library, state: State, fact: Fact) -> State:
    """What cannot be done is waited for no longer."""
    left = fact.data.get("put_off")
    return replace(
        state,
        chosen=state.chosen | ({str(left)} if left else set()),
        pending=None,
        timed=None,
    )


def repair_done(library: Library, state: State, fact: Fact) -> State:
    """A repair is to be checked."""
    fault, minutes = str(fact.data["fault"]), float(fact.data["minutes"])
    return replace(state, finding=False, repaired=fault, repair_min=minutes, kept=())


def repair_settled(library: Library, state: State, fact: Fact) -> State:
    """What was repaired is seen to have cured the car or not; the desk's word comes when all is over."""
    return replace(state, repaired=None)

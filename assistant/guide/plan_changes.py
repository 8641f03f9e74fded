"""What facts of the plan and of repairs change in a state."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.facts import Fact, PlanChanged, RepairConfirmed, RepairDone
from assistant.guide.places import Library, step_at
from assistant.guide.state import Frame, Position, State


def plan_changed(library: Library, state: State, fact: Fact) -> State:
    """Who leads, or where to; a block that is left takes what waited there with it."""
    said = fact.says(PlanChanged)
    left, again = said.put_off, said.again
    chosen = {block for block in (said.to, left) if block}
    waiting = {step: at for step, at in state.left.items() if not (said.back and step == said.to)}
    if said.aside:
        aside = read(library, said.aside)
        waiting[(*aside.stack, aside.at)[0].step] = aside
    return replace(
        state,
        left=waiting,
        leads=state.leads if said.leads is None else said.leads,
        chosen=state.chosen | chosen | ({second_look(again)} if again else set()),
        proposed=said.fault if said.to else state.proposed,
        pending=None if left else state.pending,
        timed=None if left else state.timed,
        finding=False if left else state.finding,
        repaired=None if left else state.repaired,
        mended="" if left else state.mended,
    )


def written(frames: Sequence[Frame]) -> tuple[tuple[str, str], ...]:
    """Steps as a fact keeps them: of a position the calls that wait, outermost first, then the step itself."""
    return tuple((frame.procedure, frame.step) for frame in frames)


def read(library: Library, kept: Sequence[tuple[str, str]]) -> Position:
    """The position that a fact keeps. Raises MissingStep for a step that the library lacks."""
    *stack, at = frames(library, kept)
    return Position(at=at, stack=tuple(stack))


def frames(library: Library, kept: Sequence[tuple[str, str]]) -> tuple[Frame, ...]:
    """The steps that a fact keeps. Raises MissingStep for one that the library lacks."""
    found = tuple(Frame(procedure=procedure, step=step) for procedure, step in kept)
    for frame in found:
        step_at(library, frame)
    return found


def second_look(test: str) -> str:
    """How a plan's second look at a test is kept among what it chose."""
    return f"again {test}"


def left_out(library: Library, state: State, fact: Fact) -> State:
    """What cannot be done is waited for no longer."""
    return replace(state, pending=None, timed=None)


def repair_done(library: Library, state: State, fact: Fact) -> State:
    """A repair is to be checked."""
    said = fact.says(RepairDone)
    return replace(state, finding=False, repaired=said.fault, repair_min=said.minutes, kept=())


def repair_settled(library: Library, state: State, fact: Fact) -> State:
    """What was repaired is seen to have cured the car or not; the desk's word comes when all is over."""
    said = fact.said
    held = isinstance(said, RepairConfirmed) and said.by == "recheck"
    return replace(state, repaired=None, mended=(state.repaired or "") if held else "")


def still_wanted(state: State, how: str) -> tuple[str, str]:
    """Where somebody wants to be led, as a step is entered in this way: forgotten but on the way to it."""
    return state.wanted if how in ("put-back", "again", "resume") else ("", "")

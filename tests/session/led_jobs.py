"""Jobs that the plan leads, for the tests of what it chooses, what is said to it and how it ends."""

from __future__ import annotations

from assistant.facts import FactKind
from assistant.guide import Library
from tests.procedures.fault_player import usual_answers
from tests.session.dialogue_player import Leader
from tests.session.room import Room

SAFE = "no-start/fuel-level"
"""The first step behind intake and safety."""

USUAL = {at: said[0] for at, said in usual_answers().items()}
"""What a car without a visible fault says."""


def lead(room: Room, library: Library, step: str) -> None:
    """Answer as a car without a visible fault does, up to a step."""
    Leader(room, library, USUAL).until(step)


def lead_to_the_end(room: Room, library: Library, own: dict[str, str]) -> None:
    """Answer so, with the car's own answers before the usual ones, until the job ends."""
    Leader(room, library, USUAL | own).until(None)


def changes(room: Room) -> list[dict[str, object]]:
    """What the plan changed."""
    return [dict(fact.data) for fact in room.facts if fact.kind is FactKind.PLAN_CHANGED]


def kinds(room: Room) -> list[FactKind]:
    """The kinds of all facts, in their order."""
    return [fact.kind for fact in room.facts]

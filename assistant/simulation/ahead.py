"""What can still matter from a place on: the rest of its procedures, through calls and back.

Two situations that differ only in what no step ahead looks at are one situation.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from assistant.guide.places import Library, try_key
from assistant.guide.state import Frame, Position
from assistant.procedure.flow import ways_of
from assistant.procedure.model import Kind, Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """`facts`: vehicle facts that a step ahead asks for or chooses by. `cranks`: the starter may turn again.

    `tries`: "procedure/step" of paced actions ahead.
    """

    facts: frozenset[str] = frozenset()
    cranks: bool = False
    tries: frozenset[str] = frozenset()


NOTHING_AHEAD = Ahead()


class Outlook:
    """Looks ahead from any position of a library; each place is looked at once."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self._steps = {id_: {step.id: step for step in procedure.steps} for id_, procedure in library.items()}
        self._from_frame: dict[Frame, Ahead] = {}
        self._from_position: dict[Position, Ahead] = {}

    def ahead(self, position: Position) -> Ahead:
        """From the step worked on, and from behind every call that waits."""
        if position not in self._from_position:
            behind = [
                Frame(procedure=caller.procedure, step=way.goes)
                for caller in position.stack
                for way in ways_of(self._steps[caller.procedure][caller.step])
            ]
            self._from_position[position] = _all_of(self._ahead_of(frame) for frame in (position.at, *behind))
        return self._from_position[position]

    def _ahead_of(self, frame: Frame) -> Ahead:
        if frame not in self._from_frame:
            self._from_frame[frame] = NOTHING_AHEAD  # calls that come round are told of by the check of the file
            self._from_frame[frame] = _all_of(self._of_step(frame.procedure, step) for step in self._reached(frame))
        return self._from_frame[frame]

    def _of_step(self, procedure_id: str, step: Step) -> Ahead:
        if step.calls is not None and step.calls in self._library:
            return self._ahead_of(Frame(procedure=step.calls, step=self._library[step.calls].begin))
        paced = {try_key(Frame(procedure=procedure_id, step=step.id))} if step.pace else ()
        looks = {step.vehicle} if step.vehicle else ()
        return Ahead(facts=frozenset(looks), cranks=step.kind is Kind.CRANK, tries=frozenset(paced))

    def _reached(self, frame: Frame) -> list[Step]:
        steps = self._steps[frame.procedure]
        found: dict[str, Step] = {}
        due = [frame.step]
        while due:
            step_id = due.pop()
            if step_id in steps and step_id not in found:
                found[step_id] = steps[step_id]
                due += [way.goes for way in ways_of(steps[step_id])]
        return list(found.values())


def _all_of(parts: Iterable[Ahead]) -> Ahead:
    known = list(parts)
    return Ahead(
        facts=frozenset[str]().union(*(part.facts for part in known)),
        cranks=any(part.cranks for part in known),
        tries=frozenset[str]().union(*(part.tries for part in known)),
    )

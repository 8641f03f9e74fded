"""What a technician who wants to get on can do now: every answer that is asked for, or letting the time pass.

Words go through the same understanding as speech. Commands that lead aside (stop, go back, skip, note, strike that)
are no moves here: that no order of them hurts anybody is for the guide's own tests to prove.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from typing import Protocol

from assistant.guide import Library, Mode, State, Turn, expected, next_deadline
from assistant.guide.expect import answers
from assistant.guide.places import step_of
from assistant.guide.turn import Choose
from assistant.language.commands import phrase_of
from assistant.language.model import Command, Control, Heard, TimePassed, Unclear
from assistant.language.understand import understand
from assistant.procedure.model import Kind

CLOCKED = frozenset({Mode.RESTING, Mode.WAITING, Mode.TIMING})
"""Modes in which only the clock leads on."""


class DeadEnd(Exception):
    """Nothing leads on from here, in the words that say why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One thing to do. `words`: as they are said; empty when only time passes."""

    words: str
    command: Command


class Lead(Protocol):
    """The guide's answer to a command. `choose`: the plan, where it leads."""

    def __call__(
        self, library: Library, state: State, said: Command, at_s: float, /, *, choose: Choose | None = None
    ) -> Turn: ...


TIME_PASSES = Move(words="", command=TimePassed())


class Moves:
    """The moves of each situation, worked out once for each kind of moment in a step."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self._known: dict[Hashable, tuple[Move, ...]] = {}

    def of(self, state: State) -> tuple[Move, ...]:
        """Everything that leads on from here. Raises DeadEnd."""
        if state.mode in CLOCKED:
            if next_deadline(state) is None:
                raise DeadEnd(f"nothing ends the {state.mode.value}")
            early = state.mode is Mode.WAITING and expected(self._library, state).results
            return (TIME_PASSES, *self._find(state)) if early else (TIME_PASSES,)
        moment = (
            *(state.at, state.mode, len(state.acknowledged), len(state.passed)),
            *(state.burst_done, bool(state.open_items)),
        )
        if moment not in self._known:
            self._known[moment] = self._find(state)
        return self._known[moment]

    def _told_in_a_wait(self, state: State) -> bool:
        """Whether the step asks what ended a wait early, so that a no asks for the first time."""
        steps = self._library[state.at.procedure].steps
        return any(step.kind is Kind.WAIT and step.otherwise == state.at.step for step in steps)

    def _find(self, state: State) -> tuple[Move, ...]:
        said = answers(self._library, state)
        if state.mode is Mode.CONFIRMING and not self._told_in_a_wait(state):
            said = said[:1]  # yes; a no only asks again
        if state.mode is Mode.CLOSING and state.open_items:
            said = said[:1]  # put right; whatever is left off ends in the same way
        if state.mode is Mode.ASKING and step_of(self._library, state).kind is Kind.CRANK:
            said = tuple(words for words in said if words != phrase_of(Control.READY))  # a free choice, not a way on
        if not said:
            raise DeadEnd("nothing can be answered")
        now = expected(self._library, state)
        moves = []
        for words in said:
            command = understand(Heard(words=words, confidence=1.0), now)
            if isinstance(command, Unclear):
                raise DeadEnd(f"'{words}' is asked for but not understood")
            moves.append(Move(words=words, command=command))
        return tuple(moves)

"""The made-up technician: knows the car, answers what is asked, says yes only to what was really said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.errors import ProcedureError
from assistant.guide import Library, Mode, State, expected
from assistant.language.codes import END_PHRASES
from assistant.language.commands import COMMAND_PHRASES
from assistant.language.model import Control
from assistant.rehearsal.cars import MadeUpCar

SAME_WORDS = 2
"""So often the same words are said before another way of saying it is tried: who is asked to repeat, repeats."""

OwnWords = Mapping[tuple[str, ...], tuple[str, ...]]
"""Procedure, step and result -> how people say that they have it there."""

NO_RESULT = "-"
"""What was last said is no result: a reading, or free words."""

STATE_MODES = (Mode.CAUTIONING, Mode.GATING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """What the technician meant to log at a step. `answer`: a result id, or the words of a reading."""

    procedure: str
    step: str
    answer: str


class Technician:
    """Says one phrase for each thing asked.

    For the comparison `meant` keeps each result and reading, `dictated` the free words.
    """

    def __init__(self, car: MadeUpCar, library: Library, own_words: OwnWords | None = None) -> None:
        """`own_words`: said for a result in place of the step's phrases, unless it has to be repeated often."""
        self._car = car
        self._library = library
        self._own_words = own_words or {}
        self._turn = 0
        self._last = ""
        self._result = NO_RESULT
        self._noted: set[str] = set()
        self.meant: list[Meant] = []
        self.dictated: list[Meant] = []

    def answer(self, state: State, tries: int = 0) -> str | None:
        """The next words to say, or None where only time has to pass. `tries`: how often in a row nothing came of it.

        Raises ProcedureError for a question that the car has no answer to.
        """
        self._turn += tries % SAME_WORDS == 0
        now = expected(self._library, state)
        if state.mode in STATE_MODES:
            return self._one_of(now.acknowledge)
        if state.mode is Mode.CONFIRMING:
            pending = state.pending
            right = pending is not None and (pending.words == self._last or pending.name == self._result)
            return self._one_of(COMMAND_PHRASES[Control.YES if right else Control.NO][:1])
        if state.mode is Mode.HELD:  # a misheard stop does no harm and is undone by a word
            return self._one_of(COMMAND_PHRASES[Control.RESUME])
        if state.mode is Mode.POISED:
            return self._one_of(COMMAND_PHRASES[Control.READY])
        if state.mode is Mode.CLOSING and self._car.repaired and state.found == self._car.finding:
            return self._one_of(COMMAND_PHRASES[Control.REPAIR_DONE])
        if state.mode is Mode.CLOSING:
            return self._one_of(now.results["refitted"] if state.open_items else COMMAND_PHRASES[Control.DONE])
        if state.mode is Mode.NOTING:
            self._noted.add(_place(state))
            return self._dictate(state, self._car.notes[_place(state)])
        if state.mode is Mode.ASKING and _place(state) in self._car.notes.keys() - self._noted:
            return self._one_of(COMMAND_PHRASES[Control.NOTE])
        if state.mode is Mode.ASKING:
            return self._asked(state, tries)
        return None

    def _asked(self, state: State, tries: int) -> str:
        now = expected(self._library, state)
        place = _place(state)
        if place not in self._car.answers:
            if now.codes:
                return END_PHRASES[0]
            if Control.DONE in now.controls and not now.results:
                return self._one_of(COMMAND_PHRASES[Control.DONE])
            raise ProcedureError(f"The made-up car '{self._car.name}' has no answer for '{place}'.")
        answer = self._car.answers[place]
        meant = Meant(procedure=state.at.procedure, step=state.at.step, answer=answer)
        if now.dictation:
            return self._dictate(state, answer)
        if not self.meant or self.meant[-1] != meant:
            self.meant.append(meant)
        self._result = answer if answer in now.results else NO_RESULT
        own = self._own_words.get((*place.split("/"), answer), ()) if tries < SAME_WORDS else ()
        self._last = self._one_of(own or now.results[answer]) if answer in now.results else answer
        return self._last

    def _dictate(self, state: State, words: str) -> str:
        said = Meant(procedure=state.at.procedure, step=state.at.step, answer=words)
        if self.dictated[-1:] != [said]:  # else it was not heard, and is said again
            self.dictated.append(said)
        self._last = words
        return words

    def _one_of(self, phrases: tuple[str, ...]) -> str:
        """Another synonym for each thing asked, so that more is heard than the first phrase of each answer."""
        return phrases[self._turn % len(phrases)]


def _place(state: State) -> str:
    return f"{state.at.procedure}/{state.at.step}"

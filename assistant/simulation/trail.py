"""How each situation came about: what was given of the vehicle and what was answered, from the start.

A value that stood for several alike is told as the one that this way needs, so that the way can be walked again.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.guide import Library
from assistant.procedure.model import Step
from assistant.simulation.vehicle import Possible, chosen_value

Place = tuple[str, str]
"""Procedure id and step id."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """What leads to a situation. `given`: vehicle facts told beforehand. `answers`: place and words, in order."""

    given: dict[str, str]
    answers: tuple[tuple[Place, str], ...]

    def told(self) -> str:
        """The way in words, the last answers only."""
        given = [f"{fact} {value}" for fact, value in self.given.items()]
        said = [words for _, words in self.answers]
        parts = [f"given {', '.join(given)}"] if given else []
        parts += [f"{'… ' * (len(said) > MOST_TOLD)}{', '.join(said[-MOST_TOLD:])}"] if said else []
        return "; said ".join(parts) if given else "".join(f"said {part}" for part in parts)


MOST_TOLD = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """A situation reached: from which one, by which answer (None: by no answer), and what the vehicle can be.

    `aside`: a test was told on the way, or the car came from another job, which no answers lead to.
    """

    before: int
    answer: tuple[Place, str] | None
    possible: Possible
    place: Place
    aside: bool = False


@dataclass(slots=True, kw_only=True)
class Trail:
    """Situation → how it was first reached."""

    library: Library
    arrivals: dict[int, Arrival] = field(default_factory=dict)

    def place(self, number: int) -> Place:
        """Where the situation stands."""
        return self.arrivals[number].place

    def way(self, number: int, answer: tuple[Place, str] | None = None) -> Way:
        """The way to a situation, and one answer more."""
        last = self.arrivals.get(number)
        possible: Possible = last.possible if last else {}
        answers = [answer] if answer else []
        while (arrival := self.arrivals.get(number)) is not None:
            answers += [arrival.answer] if arrival.answer else []
            number = arrival.before
        asked = {self._step(place).vehicle for place, _ in answers}
        values = {fact: chosen_value(part) for fact, part in possible.items()}
        given = {fact: value for fact, value in values.items() if value is not None and fact not in asked}
        return Way(given=given, answers=tuple(self._as_needed(each, values) for each in reversed(answers)))

    def _as_needed(self, answer: tuple[Place, str], values: dict[str, str | None]) -> tuple[Place, str]:
        place, words = answer
        step = self._step(place)
        wanted = values.get(step.vehicle) if step.vehicle else None
        phrases = next((result.phrases for result in step.results if result.id == wanted), None)
        return place, phrases[0] if phrases else words

    def _step(self, place: Place) -> Step:
        return self.library[place[0]].step(place[1])

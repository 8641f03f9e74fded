"""Which steps and results of a library were walked.

A result is one answer that leads on: a result, a reading band, an outcome of a call, a case of a choice.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from assistant.facts import Fact, FactKind, ReadingLogged, ResultLogged
from assistant.guide import Library
from assistant.procedure.flow import OTHERWISE, ways_of
from assistant.procedure.model import Kind, Step
from assistant.simulation.vehicle import Possible, looks, possible_values

StepName = tuple[str, str]
"""Procedure id and step id."""

ResultName = tuple[str, str, str]
"""Procedure id, step id and answer."""

_WORKED_ON = frozenset({FactKind.INSTRUCTION_SPOKEN, FactKind.FINDING_REACHED})
_SILENT = frozenset({Kind.CHOOSE, Kind.CALL, Kind.RETURN})


class Coverage:
    """Gathers what was walked, over any number of paths."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self.steps: set[StepName] = set()
        self.results: set[ResultName] = set()

    def see(self, facts: Iterable[Fact], possible: Possible) -> None:
        """Keep what these facts walked. `possible`: what the vehicle can be after them; all of it leads this way."""
        for fact in facts:
            if not fact.step:
                continue
            place = (str(fact.procedure), fact.step)
            if fact.kind in _WORKED_ON:
                self.steps.add(place)
            elif fact.kind is FactKind.STEP_ENTERED:
                self._entered(fact, place, possible)
            elif isinstance(said := fact.said, ResultLogged | ReadingLogged):
                self.results.add((*place, said.result if isinstance(said, ResultLogged) else said.band))
                self.steps.add(place)

    def take(self, other: Coverage, places: Collection[StepName]) -> None:
        """Keep what another has of these steps, too."""
        self.steps |= other.steps & set(places)
        self.results |= {result for result in other.results if result[:2] in places}

    def _entered(self, fact: Fact, place: StepName, possible: Possible) -> None:
        step = self._library[place[0]].step(place[1])
        if step.kind in _SILENT:
            self.steps.add(place)
        waits = (each for each in self._library[place[0]].steps if each.kind is Kind.WAIT and each.otherwise == step.id)
        self.results |= {(place[0], each.id, OTHERWISE) for each in waits}
        chooses = looks(self._library, fact)
        if chooses is not None and chooses.kind is Kind.CHOOSE and chooses.vehicle:
            values = possible_values(possible, chooses.vehicle)
            self.results |= {(*place, value if value in step.cases else OTHERWISE) for value in values if value}
            self.results |= {(*place, OTHERWISE)} if None in values else set()

    def missing_steps(self, procedures: Iterable[str]) -> list[StepName]:
        """Steps of these procedures that no path worked on, in the order written."""
        return [place for place in steps_of(self._library, procedures) if place not in self.steps]

    def missing_results(self, procedures: Iterable[str]) -> list[ResultName]:
        """Results of these procedures that no path gave, in the order written."""
        return [result for result in results_of(self._library, procedures) if result not in self.results]


def steps_of(library: Library, procedures: Iterable[str]) -> list[StepName]:
    """Every step of these procedures."""
    return [(id_, step.id) for id_ in procedures for step in library[id_].steps]


def results_of(library: Library, procedures: Iterable[str]) -> list[ResultName]:
    """Every result of these procedures."""
    return [(id_, step.id, answer) for id_ in procedures for step in library[id_].steps for answer in _answers(step)]


def _answers(step: Step) -> tuple[str, ...]:
    return tuple(dict.fromkeys(way.answer for way in ways_of(step) if way.answer is not None))

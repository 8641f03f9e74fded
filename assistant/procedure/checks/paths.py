"""Every path of every procedure, through calls and back, with what is true on it: for checks of what paths lead to."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Hashable, Iterable, Iterator, Mapping
from typing import Generic, TypeVar

from assistant.procedure.checks.book import Book, Page
from assistant.procedure.flow import steps_by_id, ways_of
from assistant.procedure.model import Kind, Procedure, Step

Known = TypeVar("Known", bound=Hashable)
"""What is true on a path. Two visits of a step with the same are one, so rounds end."""


class Paths(ABC, Generic[Known]):
    """Walks the library, looks at each step with all that may be true there, and tells faults by its pages."""

    def __init__(self, pages: Mapping[str, Page], book: Book) -> None:
        self.pages = pages
        self._book = book
        self._ends: dict[tuple[str, Known], frozenset[tuple[str, Known]]] = {}

    def walk_all(self, known: Known) -> None:
        """Walk every procedure from its start on with `known`."""
        for procedure_id in self._book.procedures:
            self.ends_of(procedure_id, known)

    @abstractmethod
    def look(self, procedure: Procedure, step: Step, known: Known) -> None:
        """Note what is wrong with this step where `known` is true."""

    @abstractmethod
    def goes_on(self, procedure: Procedure, step: Step, known: Known) -> Iterable[tuple[str, Known]]:
        """The steps that may follow, each with what is true then; calls and returns are not asked."""

    def ends_of(self, procedure_id: str, known: Known) -> frozenset[tuple[str, Known]]:
        """The outcomes with which a procedure returns when it is entered with `known`, each with what is true then."""
        key = (procedure_id, known)
        if key not in self._ends:
            self._ends[key] = frozenset()  # a call that comes round to itself is told elsewhere
            if procedure_id not in self._book.broken:
                self._ends[key] = frozenset(self._walk(self._book.procedures[procedure_id], known))
        return self._ends[key]

    def _walk(self, procedure: Procedure, known: Known) -> Iterator[tuple[str, Known]]:
        steps = steps_by_id(procedure)
        seen: set[tuple[str, Known]] = set()
        due = [(procedure.begin, known)]
        while due:
            step_id, before = due.pop()
            if (step_id, before) in seen or step_id not in steps:
                continue
            seen.add((step_id, before))
            step = steps[step_id]
            self.look(procedure, step, before)
            if step.kind is Kind.RETURN and step.outcome:
                yield step.outcome, before
            elif step.kind is Kind.CALL:
                due += self._led(procedure, step, self._through_call(step, before))
            else:
                due += self._led(procedure, step, list(self.goes_on(procedure, step, before)))

    def _led(self, procedure: Procedure, step: Step, ways: list[tuple[str, Known]]) -> list[tuple[str, Known]]:
        """The ways on, and behind the step from which a plan leads those that only it takes."""
        led = procedure.led
        if led is None or step.id != led.after:
            return ways
        return ways + [(entry, known) for _, known in ways for entry in led.only]

    def _through_call(self, step: Step, before: Known) -> list[tuple[str, Known]]:
        ways = {way.answer: way.goes for way in ways_of(step)}
        if step.calls is None or step.calls not in self._book.procedures or step.calls in self._book.broken:
            return [(goes, before) for goes in ways.values()]
        return [(ways[outcome], after) for outcome, after in self.ends_of(step.calls, before) if outcome in ways]

"""No path of a file reaches work in a state of car and bay that forbids it, and out of every state a way leads.

Every path from the start of every procedure is walked as in `vapour`, with what is so on it. Only the key, the fuel
pressure and heat are left to the guide's own questions, which are the way there; all else a step must have undone
before. What is told unasked, or left by an earlier job, can put any state before any step: that the guide's remedies
lead out of all of them is proved from the table itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.procedure.checks.book import Book, Page, at
from assistant.procedure.condition import ITEMS, SPRAYED, UNDOES, C, Condition, after_words, begun, finished
from assistant.procedure.flow import Way, steps_by_id, ways_of
from assistant.procedure.forbidden import (
    ASSERTS,
    FORBIDDING,
    REMEDIES,
    SAID_BY,
    forbids,
    forbids_hazards,
    remedies_in_turn,
)
from assistant.procedure.model import Caution, Gate, Kind, Procedure, Step

LEFT_TO_THE_GUIDE = frozenset({C.KEY_ON, C.PRESSURE_UP, C.ENGINE_HOT, C.VAPOUR, C.CAN_OUT})
"""Vapour and its can have a check of their own, which also knows where it was sprayed."""

TRACKED = FORBIDDING - LEFT_TO_THE_GUIDE

So = frozenset[Condition]


def check_states(pages: Mapping[str, Page], book: Book) -> None:
    """Walk every path of the library and note each step that a path reaches in a state that forbids it."""
    walk = _Walk(pages, book)
    for procedure_id in book.procedures:
        walk.ends_of(procedure_id, frozenset())


def check_said(page: Page) -> None:
    """A gate or caution with an id that says that something is so is passed by the phrases that say it alone."""
    parts: list[tuple[str, Gate | Caution]] = [("gate", each) for each in page.procedure.gates]
    parts += [("caution", each) for each in page.procedure.cautions]
    for noun, part in parts:
        wanted = SAID_BY.get(part.id)
        odd = [] if wanted is None else [words for words in part.acknowledge if words not in wanted]
        if wanted is not None and odd:
            page.part_fault(
                noun,
                part.id,
                at(part.spots, "acknowledge", part.spot),
                f"found '{odd[0]}' for '{part.id}', which says that it is {ASSERTS[part.id]}; expected one of "
                f"{', '.join(sorted(wanted))}; do write them, or give it another id",
            )


def way_out(step: Step, so: So) -> bool:
    """Whether the guide's remedies, one after the other, lead from this state to one in which the step may begin.

    True for every step and state where `remedies_in_order` holds; a test walks them all.
    """
    try:
        remedies_in_turn(forbids(step), so)
    except RecursionError:
        return False
    return True


def remedies_in_order() -> Iterator[tuple[Condition, Condition]]:
    """Pairs of a remedy and one that it waits for but that is asked later: none, else the guide could go in a round.

    A remedy takes its own condition away and brings none but vapour; what it waits for comes earlier in the one order.
    So no condition comes back but vapour, whose wait is asked after all that brings it, and the questions end.
    """
    order = list(REMEDIES)
    for condition, remedy in REMEDIES.items():
        brings = {Condition(word) for word in remedy.makes if word not in UNDOES}
        for other in (remedy.first | forbids_hazards(remedy.hazards, (str(condition),))) - {condition}:
            if order.index(other) > order.index(condition):
                yield condition, other
        for other in brings:
            if order.index(other) < order.index(condition):
                yield condition, other


class _Walk:
    def __init__(self, pages: Mapping[str, Page], book: Book) -> None:
        self._pages = pages
        self._book = book
        self._ends: dict[tuple[str, So], frozenset[tuple[str, So]]] = {}
        self._told: set[tuple[str, str]] = set()

    def ends_of(self, procedure_id: str, so: So) -> frozenset[tuple[str, So]]:
        """The outcomes with which a procedure returns when it is entered in a state, each with the state then."""
        key = (procedure_id, so)
        if key not in self._ends:
            self._ends[key] = frozenset()  # a call that comes round to itself is told elsewhere
            if procedure_id not in self._book.broken:
                self._ends[key] = frozenset(self._walk(self._book.procedures[procedure_id], so))
        return self._ends[key]

    def _walk(self, procedure: Procedure, so: So) -> Iterator[tuple[str, So]]:
        steps = steps_by_id(procedure)
        seen: set[tuple[str, So]] = set()
        due = [(procedure.begin, so)]
        while due:
            step_id, before = due.pop()
            if (step_id, before) in seen or step_id not in steps:
                continue
            seen.add((step_id, before))
            step = steps[step_id]
            self._look(procedure, step, before)
            if step.kind is Kind.RETURN and step.outcome:
                yield step.outcome, before
            elif step.kind is Kind.CALL:
                due += self._through_call(step, before)
            else:
                due += [(way.goes, _after(step, way, before)) for way in ways_of(step)]

    def _through_call(self, step: Step, before: So) -> list[tuple[str, So]]:
        ways = {way.answer: way.goes for way in ways_of(step)}
        if step.calls is None or step.calls not in self._book.procedures or step.calls in self._book.broken:
            return [(goes, before) for goes in ways.values()]
        return [(ways[outcome], after) for outcome, after in self.ends_of(step.calls, before) if outcome in ways]

    def _look(self, procedure: Procedure, step: Step, so: So) -> None:
        stands = sorted(forbids(step) & so)
        if not stands or (procedure.id, step.id) in self._told:
            return
        self._told.add((procedure.id, step.id))
        self._pages[procedure.id].step_fault(
            step,
            "hazards",
            f"found a path to this step with {', '.join(stands)}, which forbids it; expected it undone before; "
            "do lead through a step that undoes it",
        )


def _after(step: Step, way: Way, so: So) -> So:
    """What is so behind the step, on the way of this answer."""
    said = [ASSERTS[name] for name in (*step.cautions, *step.gates) if name in ASSERTS]
    so = after_words(so, said) | begun(step) | (SPRAYED if step.pace is not None else frozenset())
    so |= {ITEMS[item] for item in step.removes if item in ITEMS}
    so -= {ITEMS[item] for item in step.refits if item in ITEMS}
    told = {each.id: each.makes for each in step.results} | {each.id: each.makes for each in step.bands}
    return after_words(after_words(so, finished(step)), told.get(way.answer or "", ())) & TRACKED

"""No path of a file reaches work in a state of car and bay that forbids it, and out of every state a way leads.

Every path from the start of every procedure is walked as in `vapour`, with what is so on it. Only the key, the fuel
pressure, heat, a crash and what holds the car are left to the guide's own questions, which are the way there; all else
a step must have undone before. What is told unasked, or left by an earlier job, can put any state before any step: that
the guide's remedies lead out of all of them is proved from the table itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.procedure.checks.book import Book, Page, at
from assistant.procedure.checks.paths import Paths
from assistant.procedure.condition import ITEMS, SPRAYED, UNDOES, C, Condition, after_words, begun, finished
from assistant.procedure.flow import Way, ways_of
from assistant.procedure.forbidden import forbids, forbids_hazards, remedies_in_turn
from assistant.procedure.model import Caution, Gate, Procedure, Step
from assistant.procedure.remedies import ASSERTS, FORBIDDING, REMEDIES, SAID_BY

LEFT_TO_THE_GUIDE = frozenset(
    {C.KEY_ON, C.PRESSURE_UP, C.ENGINE_HOT, C.ENGINE_RUNS, C.OVERHEATED, C.VAPOUR, C.CAN_OUT, C.KNOCKED, C.CAN_ROLL}
    | {C.SOMEBODY_NEAR}
)
"""Vapour and its can have a check of their own, which also knows where it was sprayed."""

TRACKED = FORBIDDING - LEFT_TO_THE_GUIDE

So = frozenset[Condition]


def check_states(pages: Mapping[str, Page], book: Book) -> None:
    """Walk every path of the library and note each step that a path reaches in a state that forbids it."""
    _Walk(pages, book).walk_all(frozenset())


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


class _Walk(Paths[So]):
    def __init__(self, pages: Mapping[str, Page], book: Book) -> None:
        super().__init__(pages, book)
        self._told: set[tuple[str, ...]] = set()

    def goes_on(self, procedure: Procedure, step: Step, known: So) -> Iterator[tuple[str, So]]:
        """As an answer leads, with what is so behind it."""
        return ((way.goes, _after(step, way, known)) for way in ways_of(step))

    def look(self, procedure: Procedure, step: Step, known: So) -> None:
        """Note what this step must not be reached with."""
        stands = sorted(forbids(step) & known)
        if not stands or (procedure.id, step.id) in self._told:
            return
        self._told.add((procedure.id, step.id))
        self.pages[procedure.id].step_fault(
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

"""Spraying is safe on every path: asked for first, gated before the next crank, cleared before anything that sparks.

Every path from the start of every procedure is walked, through calls and back, with what is true on it: which vehicle
facts allow a spray, where the last spray was, whether its vapour was cleared. Two visits of a step with the same truths
are one, so rounds end. What the technician does against the procedure (going back) is for the guide to refuse.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from assistant.procedure.checks.book import Book, Page
from assistant.procedure.checks.numbers import MAX_SPRAY_TRIES
from assistant.procedure.condition import VAPOUR_CLEARS_S
from assistant.procedure.flow import OTHERWISE, Way, steps_by_id, ways_of
from assistant.procedure.model import IGNITES_VAPOUR, Action, Kind, Procedure, Step

SPRAY_NEEDS: Mapping[str, str] = {"fuel": "petrol", "glow-plugs-or-intake-heater": "no", "hybrid": "no"}
"""Only a vehicle with these facts may be sprayed; anything else, or not knowing, refuses. Source: the can's label and
the vehicle maker come first; published cases of blast back from heaters (PS Magazine, article 2390534)."""

SPRAY_ASKS = "throttle-by-wire"
"""Asked before a spray, for it decides how the throttle is opened; either answer is fine."""

CRANK_GATES = ("can-away", "duct-closed", "prop-out", "hands-clear")
"""Gates of every crank after a spray. Source: common practice, no source."""

_Flags = frozenset[tuple[str, bool]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What is true on a path.

    `facts`: vehicle fact → whether it allows a spray. `vapour_of`: the step whose vapour is about, or empty.
    `sprays`: the spray steps passed, each with the tries that it allows in a job.
    """

    facts: _Flags = frozenset()
    vapour_of: str = ""
    sprays: frozenset[tuple[str, int]] = frozenset()

    def allows(self, fact: str) -> bool | None:
        """Whether the fact allows a spray; None where it was not asked."""
        return next((allowed for known, allowed in self.facts if known == fact), None)

    def knowing(self, fact: str, allowed: bool) -> Truth:
        """The same with a fact known."""
        return replace(self, facts=frozenset((f, a) for f, a in self.facts if f != fact) | {(fact, allowed)})


def check_vapour(pages: Mapping[str, Page], book: Book) -> None:
    """Walk every path of the library and note each step that a path reaches in an unsafe way."""
    walk = _Walk(pages, book)
    for procedure_id in book.procedures:
        walk.ends_of(procedure_id, Truth())


class _Walk:
    def __init__(self, pages: Mapping[str, Page], book: Book) -> None:
        self._pages = pages
        self._book = book
        self._ends: dict[tuple[str, Truth], frozenset[tuple[str, Truth]]] = {}
        self._told: set[tuple[str, str, str]] = set()

    def ends_of(self, procedure_id: str, truth: Truth) -> frozenset[tuple[str, Truth]]:
        """The outcomes with which a procedure returns when it is entered with `truth`, each with what is true then."""
        key = (procedure_id, truth)
        if key not in self._ends:
            self._ends[key] = frozenset()  # a call that comes round to itself is told elsewhere
            if procedure_id not in self._book.broken:
                self._ends[key] = frozenset(self._walk(self._book.procedures[procedure_id], truth))
        return self._ends[key]

    def _walk(self, procedure: Procedure, truth: Truth) -> Iterator[tuple[str, Truth]]:
        steps = steps_by_id(procedure)
        seen: set[tuple[str, Truth]] = set()
        due = [(procedure.begin, truth)]
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
                after = _after(procedure, step, before)
                due += [(way.goes, known) for way, known in _taken(step, after)]

    def _through_call(self, step: Step, before: Truth) -> list[tuple[str, Truth]]:
        ways = {way.answer: way.goes for way in ways_of(step)}
        if step.calls is None or step.calls not in self._book.procedures or step.calls in self._book.broken:
            return [(goes, before) for goes in ways.values()]
        return [(ways[outcome], after) for outcome, after in self.ends_of(step.calls, before) if outcome in ways]

    def _look(self, procedure: Procedure, step: Step, truth: Truth) -> None:
        if step.pace is not None:
            self._look_at_spray(procedure, step, truth)
        if not truth.vapour_of:
            return
        igniting = sorted(step.all_hazards & IGNITES_VAPOUR)
        if igniting:
            self._tell(
                procedure,
                step,
                "hazards",
                f"found a path from the spray at '{truth.vapour_of}' to this step with {', '.join(igniting)}; expected "
                f"a wait of {VAPOUR_CLEARS_S:g} s with 'clears_vapour: true' between; do lead through one",
            )
        missing = [gate for gate in CRANK_GATES if gate not in step.gates]
        if step.kind is Kind.CRANK and missing:
            self._tell(
                procedure,
                step,
                "gates",
                f"found a path from the spray at '{truth.vapour_of}' to this crank without the gates "
                f"{', '.join(missing)}; expected all of {', '.join(CRANK_GATES)}; "
                "do add them, or clear the vapour first",
            )

    def _look_at_spray(self, procedure: Procedure, step: Step, truth: Truth) -> None:
        unsure = [f"{fact} {value}" for fact, value in SPRAY_NEEDS.items() if truth.allows(fact) is not True]
        if unsure:
            self._tell(
                procedure,
                step,
                "pace",
                f"found a path to this spray on which {', '.join(unsure)} is not sure; expected each to be chosen by "
                "before, and unknown to refuse; do lead here only through kind choose with those cases",
            )
        if truth.allows(SPRAY_ASKS) is None:
            self._tell(
                procedure,
                step,
                "pace",
                f"found a path to this spray on which {SPRAY_ASKS} was not asked; expected it to be known; "
                "do ask for it or choose by it before",
            )
        tries = dict(_sprays(procedure, step, truth))
        if sum(tries.values()) > MAX_SPRAY_TRIES:
            self._tell(
                procedure,
                step,
                "pace",
                f"found a path with {sum(tries.values())} sprays, by {' and '.join(sorted(tries))}; expected at most "
                f"{MAX_SPRAY_TRIES} on any path; do lower 'tries' or lead elsewhere",
            )

    def _tell(self, procedure: Procedure, step: Step, key: str, message: str) -> None:
        topic = message.partition("'")[0]  # once for each kind of fault, whichever path is found first
        if (procedure.id, step.id, topic) not in self._told:
            self._told.add((procedure.id, step.id, topic))
            self._pages[procedure.id].step_fault(step, key, message)


def _after(procedure: Procedure, step: Step, truth: Truth) -> Truth:
    if step.pace is not None:
        return replace(truth, vapour_of=_name(procedure, step), sprays=_sprays(procedure, step, truth))
    if step.kind is Kind.WAIT and step.clears_vapour and (step.wait_s or 0.0) >= VAPOUR_CLEARS_S:
        return replace(truth, vapour_of="")
    return truth


def _taken(step: Step, truth: Truth) -> Iterator[tuple[Way, Truth]]:
    """The ways that may be taken, each with what its answer tells of the vehicle."""
    fact = step.vehicle
    if fact is None or (fact not in SPRAY_NEEDS and fact != SPRAY_ASKS):
        yield from ((way, truth) for way in ways_of(step))
        return
    needed = SPRAY_NEEDS.get(fact)
    for way in ways_of(step):
        allowed = needed is None or way.answer == needed
        if step.kind is Kind.CHOOSE and needed is not None:
            could_be = allowed or (way.answer == OTHERWISE and needed not in step.cases)
            if truth.allows(fact) is True and not could_be:
                continue
            if truth.allows(fact) is False and allowed:
                continue
            if truth.allows(fact) is True:
                allowed = True
        yield way, truth.knowing(fact, allowed)


def _sprays(procedure: Procedure, step: Step, truth: Truth) -> frozenset[tuple[str, int]]:
    if step.pace is None or step.pace.action is not Action.SPRAY:
        return truth.sprays
    return truth.sprays | {(_name(procedure, step), min(step.pace.tries, MAX_SPRAY_TRIES))}


def _name(procedure: Procedure, step: Step) -> str:
    return f"{procedure.id}/{step.id}"

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
from assistant.procedure.checks.paths import Paths
from assistant.procedure.condition import VAPOUR_CLEARS_S
from assistant.procedure.flow import OTHERWISE, Way, ways_of
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
    _Walk(pages, book).walk_all(Truth())


class _Walk(Paths[Truth]):
    def __init__(self, pages: Mapping[str, Page], book: Book) -> None:
        super().__init__(pages, book)
        self._told: set[tuple[str, ...]] = set()

    def goes_on(self, procedure: Procedure, step: Step, known: Truth) -> Iterator[tuple[str, Truth]]:
        """As an answer leads, with what it makes known."""
        after = _after(procedure, step, known)
        return ((way.goes, then) for way, then in _taken(step, after))

    def look(self, procedure: Procedure, step: Step, known: Truth) -> None:
        """Note what this step must not be reached with."""
        if step.pace is not None:
            self._look_at_spray(procedure, step, known)
        if not known.vapour_of:
            return
        igniting = sorted(step.all_hazards & IGNITES_VAPOUR)
        if igniting:
            self._tell(
                procedure,
                step,
                "hazards",
                f"found a path from the spray at '{known.vapour_of}' to this step with {', '.join(igniting)}; expected "
                f"a wait of {VAPOUR_CLEARS_S:g} s with 'clears_vapour: true' between; do lead through one",
            )
        missing = [gate for gate in CRANK_GATES if gate not in step.gates]
        if step.kind is Kind.CRANK and missing:
            self._tell(
                procedure,
                step,
                "gates",
                f"found a path from the spray at '{known.vapour_of}' to this crank without the gates "
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
            self.pages[procedure.id].step_fault(step, key, message)


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

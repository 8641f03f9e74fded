"""Which answers are taken without a yes where we speak briefly: those that were surely heard and can do no harm.

Read back stays what opens a hazardous way or leads to a finding, what tells of car and bay, what decides whether fuel
is sprayed, a reading near a limit, and whatever was not surely heard or only guessed at. In full, as ever, each answer
that chooses the way.
"""

from __future__ import annotations

from collections.abc import Callable

from assistant.guide.places import Library, chooses_way, decides_later, limits_of, step_at
from assistant.guide.state import Frame, State
from assistant.language.manner import Manner
from assistant.language.model import BY_KEY, TYPED, Heard
from assistant.language.quantities import decimals_of
from assistant.procedure.condition import Condition
from assistant.procedure.model import Band, Hazard, Kind, Result, Step

SURE = 0.9
"""From this trust on a word counts as surely heard. Source: above it a second hearing changes nothing
(`hearing.trust`)."""

NEAR_SHARE = 0.02
NEAR_DIGITS = 2
"""A reading within this share of a limit, or so many of its last digits, is near it. Source: judgement."""

_MOST_SILENT = 100

ONLY_LOOKS = frozenset({str(Condition.KNOCKED), str(Condition.BANGED)})
"""What only has somebody look once more: an echo is enough, as it was for the question that tells it."""

Knows = Callable[[Frame], str | None]
"""The result of a step as the plan knows it once the answer is logged, for which it is passed over; None: it asks."""


def _knows_nothing(_frame: Frame) -> None:
    return None


def reads_back(library: Library, state: State, step: Step) -> bool:
    """Whether every answer of the step is logged only after a yes."""
    if state.always_confirm:
        return True
    if state.manner is Manner.FULL:
        return chooses_way(step) or (step.vehicle is not None and decides_later(library, step.vehicle))
    makes = frozenset[str]().union(*(each.makes for each in step.results), *(each.makes for each in step.bands))
    return bool(makes - ONLY_LOOKS) or (step.vehicle is not None and lets_spray(library, step.vehicle))


def needs_yes(
    library: Library,
    state: State,
    step: Step,
    answer: Result | Band | None,
    heard: Heard | None,
    *,
    knows: Knows = _knows_nothing,
) -> bool:
    """Whether this answer of the step is logged only after a yes."""
    if reads_back(library, state, step):
        return True
    if state.manner is Manner.FULL:
        return False
    if not surely(heard):
        return True
    return answer is not None and chooses_way(step) and opens_hazard(library, state, answer.goes, knows)


def surely(heard: Heard | None) -> bool:
    """Whether the words were surely said: typed, pressed, or heard with a trust that was measured."""
    return heard is None or heard.engine in (TYPED, BY_KEY) or (not heard.unsure and heard.confidence >= SURE)


def lets_spray(library: Library, fact: str) -> bool:
    """Whether this fact of the vehicle decides anything where starting fluid is sprayed."""
    spraying = (
        procedure
        for procedure in library.values()
        if any(Hazard.SPRAYING in step.all_hazards for step in procedure.steps)
    )
    deciding = (step for procedure in spraying for step in procedure.steps if step.vehicle == fact)
    return any(step.kind is Kind.CHOOSE or chooses_way(step) for step in deciding)


def opens_hazard(library: Library, state: State, target: str, knows: Knows = _knows_nothing) -> bool:
    """Whether what is done or told first at the end of this way can hurt somebody, or is a finding. Steps that would be
    passed over are no end of it."""
    frame, stack = Frame(procedure=state.at.procedure, step=target), list(state.position.stack)
    for _ in range(_MOST_SILENT):
        step = step_at(library, frame)
        goes = _silently(step, state) or _passed_over(step, knows(frame))
        if step.kind is Kind.CALL and step.calls is not None:
            stack.append(frame)
            frame = Frame(procedure=step.calls, step=library[step.calls].begin)
        elif step.kind is Kind.RETURN and stack:
            caller = stack.pop()
            outcomes = {result.id: result.goes for result in step_at(library, caller).results}
            frame = Frame(procedure=caller.procedure, step=outcomes[step.outcome or ""])
        elif goes is not None:
            frame = Frame(procedure=frame.procedure, step=goes)
        else:
            return step.kind in (Kind.FINDING, Kind.RETURN) or bool(step.all_hazards)
    return True


def _silently(step: Step, state: State) -> str | None:
    """Where the step goes without a word, if it does."""
    known = str(state.vehicle.get(step.vehicle or "", ""))
    if step.kind is Kind.CHOOSE:
        return step.cases.get(known, step.otherwise or "")
    if step.kind is Kind.ASK and known:
        return next((result.goes for result in step.results if result.id == known), None)
    return None


def _passed_over(step: Step, known: str | None) -> str | None:
    """Where the step goes by what is known of it, if it is not asked."""
    if step.kind is not Kind.ASK or step.all_hazards:
        return None
    return next((result.goes for result in step.results if result.id == known), None)


def near_limit(library: Library, state: State, step: Step, value: float) -> bool:
    """Whether a reading lies so near to a limit of its bands that a misread digit would choose another one."""
    if step.quantity is None or step.unit is None:
        return False
    limits = limits_of(library, state)
    named = {name for band in step.bands for name in (band.at_least, band.below) if name}
    last = 10.0 ** -decimals_of(step.quantity, step.unit)
    return any(abs(value - limits[name]) <= max(NEAR_SHARE * abs(limits[name]), NEAR_DIGITS * last) for name in named)

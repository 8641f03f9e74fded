"""The one table of which work is forbidden in which state of car and bay, and what makes it allowed again.

Rules
1. A hazard of a row may not begin while its condition is so, whatever led there. The guide asks the table before each
   step, caution, gate, spray and burst, and again when a test is told.
2. A row marked `needed` lets a step pass that says it `needs` just that condition; no other row lets anybody pass.
3. What a step `needs` undone (`key-off`) must be so as if a row said it.
4. What is forbidden is led out of by its remedy: a question that is passed by its phrase alone, or the wait that clears
   vapour. A remedy is itself work: what forbids its hazards, and what it says must be gone `first`, is asked before it.
5. Under a leak, on the wrong fuel, where something burned, after a crash that nobody looked into or with somebody at
   the car the key stays off as well (`KEY_OFF_IN`): there is no hazard for it, the words of a step have it on.
6. On an overheated engine, and where something burned or smoked, hands stay out from under hood and car: there is no
   hazard for it, the place of a step is it. Nor is a car left alone to a wait where something burned.
7. A step that asks the very question of the remedy by a gate or caution of its own is not asked twice.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from assistant.procedure.condition import UNDOES, C, Condition, after_words, switches_on
from assistant.procedure.model import Hazard, Kind, Place, Step
from assistant.procedure.model import Hazard as H
from assistant.procedure.remedies import ASSERTS, CLAMP, REMEDIES

LIGHT = frozenset({H.EXPOSED_SPARK, H.BATTERY_CLAMP, H.HOT_WORK})
TURN = frozenset({H.CRANKING, H.RUNNING_ENGINE})
LET_OUT = frozenset({H.SPRAYING, H.OPEN_FUEL_LINE})
LINE = frozenset({H.OPEN_FUEL_LINE})
SPRAY = frozenset({H.SPRAYING})

NEAR_TURNS = "Somebody is at the car, so nothing may turn."
NEAR_SPARKS = "Somebody is at the car, so nothing may spark."
BURNED_FIRST = "Something burned or smoked, and that comes first."
NEEDED = True
NEVER = False

ROWS: tuple[tuple[frozenset[Hazard], Condition, bool, str], ...] = (
    # work                       while this is so    unless   why not
    (LIGHT, C.LEAK, NEVER, "Fuel leaks or smells, and this step can light it."),
    (TURN, C.LEAK, NEVER, "Fuel leaks or smells, so the engine must not turn."),
    (LET_OUT, C.LEAK, NEVER, "Fuel leaks or smells, so no more is let out."),
    (TURN, C.WRONG_FUEL, NEVER, "The wrong fuel is in it, so the engine must not turn."),
    (SPRAY, C.WRONG_FUEL, NEVER, "The wrong fuel is in it, so nothing may make it run."),
    (LIGHT, C.LINE_OPEN, NEVER, "A fuel line may be open, and this step can light it."),
    (TURN, C.LINE_OPEN, NEVER, "A fuel line may be open, and the pump would empty it."),
    (SPRAY, C.LINE_OPEN, NEVER, "A fuel line may be open, so nothing is sprayed."),
    (LIGHT, C.CAN_OUT, NEVER, "The starting fluid is in the bay, and this step can light it."),
    (TURN, C.CAN_OUT, NEEDED, "The starting fluid is in the bay, so the engine must not turn."),
    (TURN, C.DUCT_OPEN, NEEDED, "The intake duct is open, so the engine must not turn."),
    (TURN, C.PROP_IN, NEEDED, "The pedal prop is in, and the engine would run away."),
    (LIGHT, C.VAPOUR, NEVER, "Vapour may still be there, and this step can light it."),
    (TURN, C.VAPOUR, NEEDED, "Vapour may still be there, and a starter or an engine can light it."),
    (frozenset({H.RUNNING_ENGINE}), C.TESTER_HUNG, NEVER, "The spark tester hangs on the engine, which may run now."),
    (LET_OUT, C.TESTER_HUNG, NEVER, "The spark tester hangs on the engine, and fuel comes out now."),
    (frozenset({H.EXPOSED_SPARK}), C.PACK_ON, NEVER, "The jump pack is on, and its clamps have no place near a spark."),
    (LET_OUT, C.PACK_ON, NEVER, "The jump pack is on, and its clamps can light fuel."),
    (CLAMP, C.PACK_ON, NEEDED, "The jump pack is on, so a loose clamp stays live."),
    (TURN, C.BURNED, NEVER, BURNED_FIRST),
    (LET_OUT, C.BURNED, NEVER, BURNED_FIRST),
    (LIGHT, C.KNOCKED, NEVER, "It had a knock and may leak fuel, and this step can light it."),
    (TURN, C.KNOCKED, NEVER, "It had a knock and may leak fuel, so the engine must not turn."),
    (TURN, C.BINDS, NEVER, "It binds when turned by hand, so the engine must not turn."),
    (TURN | frozenset({H.MOVING_PARTS}), C.SOMEBODY_NEAR, NEVER, NEAR_TURNS),
    (LIGHT, C.SOMEBODY_NEAR, NEVER, NEAR_SPARKS),
    (SPRAY, C.SOMEBODY_NEAR, NEVER, "Somebody is at the car, so nothing is sprayed."),
    (TURN, C.CAN_ROLL, NEVER, "The car may roll, so the engine must not turn."),
    (frozenset({H.CRANKING}), C.ENGINE_RUNS, NEVER, "The engine runs, so the starter must not turn."),
    (LET_OUT, C.ENGINE_RUNS, NEVER, "The engine runs, and fuel that comes out lights on it."),
    (TURN, C.CLAMP_OFF, NEVER, "The ground clamp is off, so the starter must not turn."),
    (TURN | CLAMP, C.BATTERY_UNSAFE, NEVER, "The battery is damaged, so it is not loaded or clamped."),
    (LET_OUT, C.ENGINE_HOT, NEVER, "The engine is hot, and fuel lights on hot parts."),
    (CLAMP, C.KEY_ON, NEVER, "With the key on, a clamp sparks."),
    (frozenset({H.HIGH_SECONDARY_VOLTAGE}), C.KEY_ON, NEVER, "With the key on, the coils can shock you."),
    (LINE, C.KEY_ON, NEEDED, "With the key on, the pump pushes fuel out."),
    (LINE, C.PRESSURE_UP, NEEDED, "The fuel may still be under pressure."),
)
"""High voltage is meant of hands at the coils: cranking, which needs the key, is told apart by `forbids`."""

KEY_OFF_IN: Mapping[Condition, str] = MappingProxyType(
    {
        C.LEAK: "Fuel leaks or smells, and with the key on the pump pushes out more.",
        C.WRONG_FUEL: "The wrong fuel is in it, and with the key on the pump takes it further.",
        C.BURNED: "Something burned or smoked, and the key would feed it.",
        C.KNOCKED: "It had a knock and may leak fuel, so the key stays off.",
        C.SOMEBODY_NEAR: "Somebody is at the car, and with the key on a fan may start.",
    }
)
"""In which the key is not turned on, and why."""

ORDER: Mapping[Condition, int] = MappingProxyType({each: number for number, each in enumerate(REMEDIES)})
"""Where each remedy stands."""
HANDS_IN = frozenset({Place.HOOD, Place.UNDER})
"""Where hands are at what scalds and burns."""

TOO_HOT = "It is overheated, and hot parts and coolant scald."
_AT_PLACES: Mapping[Condition, str] = MappingProxyType({C.OVERHEATED: TOO_HOT, C.BURNED: BURNED_FIRST})
"""In which no hands go there, and why."""

OF_NEEDS: Mapping[Condition, str] = MappingProxyType(
    {
        C.KEY_ON: "This is done with the key out.",
        C.ENGINE_HOT: "This is done on a cool engine.",
        C.ENGINE_RUNS: "This is done on an engine that stands.",
    }
)
"""Why a step that needs it undone may not begin; any other condition: it is named."""


def why_not(step: Step, condition: Condition) -> str:
    """Why the step may not begin while this is so, in one sentence; empty where it may."""
    for hazards, forbidden, needed, why in ROWS:
        if forbidden is condition and hazards & step.all_hazards and not (needed and condition in step.needs):
            return why
    if condition in KEY_OFF_IN and switches_on(step.say):
        return KEY_OFF_IN[condition]
    if condition in _AT_PLACES and condition in _forbids_step(step):
        return _AT_PLACES[condition]
    named = OF_NEEDS.get(condition, f"This is not done with {condition.replace('-', ' ')}.")
    return named if any(condition in UNDOES.get(word, ()) for word in step.needs) else ""


def forbids(step: Step, answered: frozenset[str] = frozenset()) -> frozenset[Condition]:
    """The conditions in which the step may not begin, but for those that its own gates and cautions still ask away.

    `answered`: of these, the ids that were passed or acknowledged already.
    """
    due = tuple(name for name in (*step.gates, *step.cautions) if name not in answered)
    return _forbids_step(step) - _asked_away(due)


def next_remedy(
    step: Step,
    conditions: frozenset[Condition],
    answered: frozenset[str] = frozenset(),
    besides: frozenset[Condition] = frozenset(),
) -> Condition | None:
    """What must be made undone next before the step may begin; None where it may begin. `answered`: as of `forbids`.
    `besides`: what is to be undone first though it forbids nothing here."""
    if not conditions & (_forbids_step(step) | besides):
        return None  # most often; what is asked away need not be looked up
    return _next_of(forbids(step, answered) | besides, conditions)


def remedies_in_turn(forbidden: frozenset[Condition], conditions: frozenset[Condition]) -> tuple[Condition, ...]:
    """What is made undone, one after the other, before work that these conditions forbid may begin.

    Raises RecursionError where no order of the remedies leads out, which `hoodside check` proves never to be.
    """
    found: list[Condition] = []
    for _ in range(2 * len(REMEDIES)):
        due = _next_of(forbidden, conditions)
        if due is None:
            return tuple(found)
        found.append(due)
        conditions = after_words(conditions - {due}, REMEDIES[due].makes)
    raise RecursionError(f"no remedy leads out of {', '.join(sorted(conditions & forbidden))}")


def _next_of(forbidden: frozenset[Condition], conditions: frozenset[Condition]) -> Condition | None:
    stand = forbidden & conditions
    if not stand:
        return None
    due = stand
    while True:
        for each in stand:
            due |= _asked_before(each) & conditions
        if due == stand:
            return min(due, key=ORDER.__getitem__)
        stand = due


@lru_cache(maxsize=64)
def _asked_before(condition: Condition) -> frozenset[Condition]:
    """What is to be undone before the remedy of this."""
    remedy = REMEDIES[condition]
    return remedy.first | forbids_hazards(remedy.hazards, (str(condition),))


def forbids_hazards(hazards: frozenset[Hazard], needs: tuple[str, ...] = ()) -> frozenset[Condition]:
    """The conditions in which work with these hazards may not begin, where it needs these."""
    return _forbids(hazards, needs, False)


def _forbids_step(step: Step) -> frozenset[Condition]:
    found = _forbids(step.all_hazards, step.needs, step.kind is Kind.CRANK)
    found = found.union(_AT_PLACES) if step.place in HANDS_IN else found
    found = found | {C.BURNED} if step.kind is Kind.WAIT else found
    return found.union(KEY_OFF_IN) if switches_on(step.say) else found


@lru_cache(maxsize=1024)
def _forbids(hazards: frozenset[Hazard], needs: tuple[str, ...], cranks: bool) -> frozenset[Condition]:
    found = {
        condition
        for dangers, condition, needed, _ in ROWS
        if dangers & hazards and not (needed and condition in needs) and not (cranks and condition is C.KEY_ON)
    }
    return frozenset(found.union(*(UNDOES[word] for word in needs if word in UNDOES)))


@lru_cache(maxsize=1024)
def _asked_away(names: tuple[str, ...]) -> frozenset[Condition]:
    return frozenset[Condition]().union(*(UNDOES[ASSERTS[name]] for name in names if name in ASSERTS))

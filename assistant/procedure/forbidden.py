"""The one table of which work is forbidden in which state of car and bay, and what makes it allowed again.

Rules
1. A hazard of a row may not begin while its condition is so, whatever led there. The guide asks the table before each
   step, caution, gate, spray and burst, and again when a test is told.
2. A row marked `needed` lets a step pass that says it `needs` just that condition; no other row lets anybody pass.
3. What a step `needs` undone (`key-off`) must be so as if a row said it.
4. What is forbidden is led out of by its remedy: a question that is passed by its phrase alone, or the wait that clears
   vapour. A remedy is itself work: what forbids its hazards, and what it says must be gone `first`, is asked before it.
5. Under a leak, on the wrong fuel, where something burned or after a crash that nobody looked into the key stays off
   as well (`KEY_OFF_IN`): there is no hazard for it, the words of a step have it on.
6. A step that asks the very question of the remedy by a gate or caution of its own is not asked twice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from assistant.procedure.affirmed import passes
from assistant.procedure.condition import UNDOES, VAPOUR_CLEARS_S, C, Condition, after_words, switches_on
from assistant.procedure.model import Caution, Gate, Hazard, Kind, Signal, Step
from assistant.procedure.model import Hazard as H

LIGHT = frozenset({H.EXPOSED_SPARK, H.BATTERY_CLAMP, H.HOT_WORK})
TURN = frozenset({H.CRANKING, H.RUNNING_ENGINE})
LET_OUT = frozenset({H.SPRAYING, H.OPEN_FUEL_LINE})
LINE = frozenset({H.OPEN_FUEL_LINE})
SPRAY = frozenset({H.SPRAYING})
CLAMP = frozenset({H.BATTERY_CLAMP})

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
    (TURN, C.BURNED, NEVER, "Something burned or smoked, and that comes first."),
    (LET_OUT, C.BURNED, NEVER, "Something burned or smoked, and that comes first."),
    (LIGHT, C.KNOCKED, NEVER, "It had a knock and may leak fuel, and this step can light it."),
    (TURN, C.KNOCKED, NEVER, "It had a knock and may leak fuel, so the engine must not turn."),
    (TURN, C.CAN_ROLL, NEVER, "The car may roll, so the engine must not turn."),
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
    }
)
"""In which the key is not turned on, and why."""

OF_NEEDS: Mapping[Condition, str] = MappingProxyType(
    {C.KEY_ON: "This is done with the key out.", C.ENGINE_HOT: "This is done on a cool engine."}
)
"""Why a step that needs it undone may not begin; any other condition: it is named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """What makes forbidden work allowed. `gate` None: only a wait helps. `hazards`, `first`: as in rule 4.

    `makes`: words that are true once the gate is passed. `minutes`: what a plan counts for it (judgement); None where
    it is a repair of its own, by which no test is set up.
    """

    gate: Gate | None
    makes: tuple[str, ...]
    minutes: float | None
    caution: Caution | None = None
    hazards: frozenset[Hazard] = frozenset()
    first: frozenset[Condition] = frozenset()


def _gate(id_: str, say: str, *acknowledge: str) -> Gate:
    return Gate(id=id_, say=say, acknowledge=acknowledge)


_FUEL_OUT = Caution(
    id="fuel-out",
    signal=Signal.DANGER,
    hazard="Petrol vapour travels, and lights far from the fuel.",
    avoid="No key, no spark, no clamp. Doors open. Catch it, and wipe up every drop.",
    consequence="A flash fire can burn you.",
    covers=frozenset({H.FUEL_VAPOUR, H.OPEN_FUEL_LINE}),
    acknowledge=("no flame near", "nothing hot near"),
)
_ROLL_AWAY = Caution(
    id="roll-away",
    signal=Signal.WARNING,
    hazard="A car in gear moves when the engine turns.",
    avoid="Set selector and brake, and chock a wheel in front and behind.",
    consequence="It can crush you.",
    covers=frozenset({H.ROLL_AWAY}),
    acknowledge=("it is in park", "it is in neutral"),
)
_CLAMP = Caution(
    id="clamp-spark",
    signal=Signal.WARNING,
    hazard="A spark at a clamp can set off battery gas.",
    avoid="Cover your eyes. Ground side first off, last on.",
    consequence="The battery can burst.",
    covers=frozenset({H.BATTERY_CLAMP, H.BATTERY_GAS}),
    acknowledge=("eyes are covered", "my eyes are covered"),
)
_PRESSURE = Caution(
    id="fuel-under-pressure",
    signal=Signal.WARNING,
    hazard="Fuel stays under pressure with the engine stopped.",
    avoid="Engine cold. Eyes covered. A rag where it comes out. No flame near.",
    consequence="It can blind and burn you.",
    covers=frozenset({H.STORED_PRESSURE, H.FUEL_VAPOUR, H.OPEN_FUEL_LINE}),
    acknowledge=("eyes are covered", "my eyes are covered"),
)

REMEDIES: Mapping[Condition, Remedy] = MappingProxyType(
    {
        C.KEY_ON: Remedy(
            gate=_gate("key-out", "Switch off, and take the key out. Is the key out?", "key is out", "the key is out"),
            makes=("key-off",),
            minutes=0.0,
        ),
        C.LEAK: Remedy(
            caution=_FUEL_OUT,
            gate=_gate(
                "leak-mended",
                "Find the leak, mend it, and wipe up. Is it mended and dry?",
                *("leak is mended", "the leak is mended"),
            ),
            makes=("leak-mended", "vapour"),
            minutes=None,
            first=frozenset({C.KEY_ON}),
        ),
        C.WRONG_FUEL: Remedy(
            caution=_FUEL_OUT,
            gate=_gate(
                "fuel-flushed",
                "Tank and lines must be drained and flushed the maker's way. Is that done?",
                *("fuel is flushed", "the fuel is flushed"),
            ),
            makes=("fuel-flushed", "vapour"),
            minutes=None,
            first=frozenset({C.KEY_ON}),
        ),
        C.BURNED: Remedy(
            gate=_gate("burn-mended", "Mend what burned. Is it out and mended?", "it is mended", "burn is mended"),
            makes=("burn-mended",),
            minutes=None,
            first=frozenset({C.KEY_ON}),
        ),
        C.KNOCKED: Remedy(
            caution=_FUEL_OUT,
            gate=_gate(
                "looked-dry",
                "Look under the car and over the engine for fuel. All dry, nothing to smell?",
                *("all is dry", "it is all dry"),
            ),
            makes=("looked-dry",),
            minutes=2.0,
            first=frozenset({C.KEY_ON, C.LEAK, C.WRONG_FUEL}),
        ),
        C.CAN_ROLL: Remedy(
            caution=_ROLL_AWAY,
            gate=_gate(
                "nothing-rolls", "Selector, brake, chocks: can nothing roll?", "nothing can roll", "it cannot roll"
            ),
            makes=("cannot-roll",),
            minutes=0.5,
        ),
        C.LINE_OPEN: Remedy(
            caution=_FUEL_OUT,
            gate=_gate(
                "line-closed",
                "Close every fuel line and joint, and wipe up. Are all closed and dry?",
                *("lines are closed", "the lines are closed"),
            ),
            makes=("line-closed", "vapour"),
            minutes=3.0,
            first=frozenset({C.KEY_ON}),
        ),
        C.CAN_OUT: Remedy(
            gate=_gate("can-away", "Is the can out of the engine bay?", "can is away", "the can is away"),
            makes=("can-away",),
            minutes=0.5,
        ),
        C.DUCT_OPEN: Remedy(
            gate=_gate("duct-closed", "Is the duct closed?", "duct is closed", "the duct is closed"),
            makes=("duct-closed",),
            minutes=1.0,
        ),
        C.PROP_IN: Remedy(
            gate=_gate("prop-out", "Is the pedal prop out?", "prop is out", "the prop is out"),
            makes=("prop-out",),
            minutes=0.3,
        ),
        C.TESTER_HUNG: Remedy(
            gate=_gate("tool-off", "Is the tester off the engine?", "tester is off", "the tester is off"),
            makes=("tester-off",),
            minutes=1.0,
            first=frozenset({C.KEY_ON}),
        ),
        C.VAPOUR: Remedy(
            gate=None,
            makes=(),
            minutes=VAPOUR_CLEARS_S / 60.0,
            first=frozenset({C.LEAK, C.WRONG_FUEL, C.LINE_OPEN, C.CAN_OUT}),
        ),
        C.BATTERY_UNSAFE: Remedy(
            gate=_gate(
                "battery-sound",
                "Is a sound battery fitted, the maker's way?",
                *("battery is sound", "the battery is sound"),
            ),
            makes=("battery-sound", "battery-good"),
            minutes=None,
            caution=_CLAMP,
            first=frozenset({C.KEY_ON, C.LEAK, C.LINE_OPEN, C.CAN_OUT, C.VAPOUR, C.KNOCKED}),
        ),
        C.PACK_ON: Remedy(
            gate=_gate(
                "pack-off",
                "Pack off first. Then the black clamp, then the red. Is the pack off?",
                *("pack is off", "the pack is off"),
            ),
            makes=("pack-off",),
            minutes=1.0,
            caution=_CLAMP,
            hazards=CLAMP,
        ),
        C.CLAMP_OFF: Remedy(
            gate=_gate(
                "clamp-on",
                "Put the ground clamp back, tight. Is it on?",
                *("clamp is on", "the clamp is on"),
            ),
            makes=("clamp-on",),
            minutes=1.0,
            caution=_CLAMP,
            hazards=CLAMP,
        ),
        C.ENGINE_HOT: Remedy(
            gate=_gate("exhaust-cool", "Is the exhaust cool?", "exhaust is cool", "the exhaust is cool"),
            makes=("engine-cool",),
            minutes=20.0,
        ),
        C.PRESSURE_UP: Remedy(
            gate=_gate(
                "pressure-down",
                "Let the fuel pressure down the way the maker says. Is it down?",
                *("pressure is down", "the pressure is down"),
            ),
            makes=("pressure-down",),
            minutes=0.0,
            caution=_PRESSURE,
            first=frozenset({C.KEY_ON, C.ENGINE_HOT}),
        ),
    }
)
"""Asked in this order: none waits for a later one (`hoodside check` proves it). The minutes of tests hold the key's."""

FORBIDDING = frozenset(REMEDIES)
"""The conditions that forbid some work; the others are only told."""

REPAIRED = frozenset(condition for condition, remedy in REMEDIES.items() if remedy.minutes is None)
"""What only a repair makes undone."""

ASSERTS: Mapping[str, str] = MappingProxyType(
    {
        **{remedy.gate.id: remedy.makes[0] for remedy in REMEDIES.values() if remedy.gate is not None},
        "coil-volts": "key-off",
        "wheels-chocked": "cannot-roll",
    }
)
"""Gates and cautions whose phrase says that something is so, by the id that every file gives them."""

SAID_BY: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        **{remedy.gate.id: frozenset(remedy.gate.acknowledge) for remedy in REMEDIES.values() if remedy.gate},
        "coil-volts": frozenset({"key is off", "the key is off", "ignition is off"}),
        "wheels-chocked": frozenset({"wheels are blocked", "the wheels are blocked", "wheels are chocked"}),
    }
)
"""The phrases that may pass such a gate or caution: nothing else would say that it is so."""

CAUTIONS = tuple({remedy.caution.id: remedy.caution for remedy in REMEDIES.values() if remedy.caution}.values())
GATES = tuple(remedy.gate for remedy in REMEDIES.values() if remedy.gate is not None)
_ASKED: tuple[Caution | Gate, ...] = (*CAUTIONS, *GATES)
PHRASES = tuple(dict.fromkeys(words for part in _ASKED for words in passes(part)))
"""What the guide speaks of its own accord, and what passes it."""
LEAK_ASKED = frozenset({"looked-dry", "no-smell"})
"""Gates to which a "no" may mean that fuel leaks or smells, by the id that every file gives them."""

NEVER_LEFT = frozenset({C.LINE_OPEN})
"""What may not be left so at a job's end."""


def why_not(step: Step, condition: Condition) -> str:
    """Why the step may not begin while this is so, in one sentence; empty where it may."""
    for hazards, forbidden, needed, why in ROWS:
        if forbidden is condition and hazards & step.all_hazards and not (needed and condition in step.needs):
            return why
    if condition in KEY_OFF_IN and switches_on(step.say):
        return KEY_OFF_IN[condition]
    named = OF_NEEDS.get(condition, f"This is not done with {condition.replace('-', ' ')}.")
    return named if any(condition in UNDOES.get(word, ()) for word in step.needs) else ""


def forbids(step: Step, answered: frozenset[str] = frozenset()) -> frozenset[Condition]:
    """The conditions in which the step may not begin, but for those that its own gates and cautions still ask away.

    `answered`: of these, the ids that were passed or acknowledged already.
    """
    due = tuple(name for name in (*step.gates, *step.cautions) if name not in answered)
    return _forbids_step(step) - _asked_away(due)


def next_remedy(
    step: Step, conditions: frozenset[Condition], answered: frozenset[str] = frozenset()
) -> Condition | None:
    """What must be made undone next before the step may begin; None where it may begin. `answered`: as of `forbids`."""
    if not conditions & _forbids_step(step):
        return None  # most often; what is asked away need not be looked up
    return _next_of(forbids(step, answered), conditions)


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
            remedy = REMEDIES[each]
            due |= (remedy.first | forbids_hazards(remedy.hazards, (str(each),))) & conditions
        if due == stand:
            return next(each for each in REMEDIES if each in due)
        stand = due


def forbids_hazards(hazards: frozenset[Hazard], needs: tuple[str, ...] = ()) -> frozenset[Condition]:
    """The conditions in which work with these hazards may not begin, where it needs these."""
    return _forbids(hazards, needs, False)


def _forbids_step(step: Step) -> frozenset[Condition]:
    found = _forbids(step.all_hazards, step.needs, step.kind is Kind.CRANK)
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

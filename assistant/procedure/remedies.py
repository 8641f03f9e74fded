"""What makes forbidden work allowed again: one remedy for each condition that forbids, in the order they are asked in.

A remedy is a question that is passed by its phrase alone, with the caution of its work, or the wait that clears vapour.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from assistant.procedure.affirmed import passes
from assistant.procedure.condition import VAPOUR_CLEARS_S, C, Condition
from assistant.procedure.model import Caution, Gate, Hazard, Signal
from assistant.procedure.model import Hazard as H

CLAMP = frozenset({H.BATTERY_CLAMP})


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
_SCALD = Caution(
    id="hot-coolant",
    signal=Signal.WARNING,
    hazard="Hot parts burn, and hot coolant is under pressure.",
    avoid="Hands and face away until it is cool. Never open a hot radiator or tank cap.",
    consequence="It can scald you badly.",
    covers=frozenset({H.HOT_PART}),
    acknowledge=("caps stay shut", "the caps stay shut"),
)
"""Source: common practice, no source."""
_BINDING = Caution(
    id="binding-engine",
    signal=Signal.WARNING,
    hazard="An engine that binds may hold liquid, or parts that touch.",
    avoid="Key out. Belt off first, then plugs out. Eyes covered, face away from the holes. Never force it.",
    consequence="Liquid can hit your eyes, and force breaks it.",
    covers=frozenset({H.MOVING_PARTS}),
    acknowledge=("eyes are covered", "my eyes are covered"),
)
"""Source: common practice, no source."""
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
        C.SOMEBODY_NEAR: Remedy(
            gate=_gate(
                "everybody-clear",
                "Nobody under, at or in the engine. Is everybody clear?",
                *("everybody is clear", "everyone is clear"),
            ),
            makes=("everybody-clear",),
            minutes=0.3,
        ),
        C.KEY_ON: Remedy(
            gate=_gate("key-out", "Switch off, and take the key out. Is the key out?", "key is out", "the key is out"),
            makes=("key-off",),
            minutes=0.0,
        ),
        C.ENGINE_RUNS: Remedy(
            gate=_gate(
                "engine-off",
                "Switch the engine off. Does it stand still?",
                *("it stands still", "engine stands still"),
            ),
            makes=("engine-off",),
            minutes=0.0,
        ),
        C.OVERHEATED: Remedy(
            caution=_SCALD,
            gate=_gate(
                "cooled-down",
                "Let it stand until no heat comes off it. Is it cool?",
                *("engine is cool", "the engine is cool"),
            ),
            makes=("cooled-down", "engine-cool"),
            minutes=30.0,
            first=frozenset({C.KEY_ON}),
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
        C.BINDS: Remedy(
            caution=_BINDING,
            gate=_gate(
                "turns-freely",
                "Find what holds it, the belt first. With a socket, two full turns: does it turn freely by hand?",
                *("it turns freely by hand", "turns freely by hand"),
            ),
            makes=("turns-freely",),
            minutes=None,
            first=frozenset({C.KEY_ON, C.CAN_ROLL}),
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
            first=frozenset({C.ENGINE_RUNS, C.LEAK, C.WRONG_FUEL, C.LINE_OPEN, C.CAN_OUT}),
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
NO_SMELL = _gate("no-smell", "Is the air free of fuel smell?", "nothing to smell", "no fuel smell")
"""Asked after the wait, too, of who says without being asked that the vapour is gone. Its phrase clears nothing."""

GATES = (*(remedy.gate for remedy in REMEDIES.values() if remedy.gate is not None), NO_SMELL)
_ASKED: tuple[Caution | Gate, ...] = (*CAUTIONS, *GATES)
PHRASES = tuple(dict.fromkeys(words for part in _ASKED for words in passes(part)))
"""What the guide speaks of its own accord, and what passes it."""
LEAK_ASKED = frozenset({"looked-dry", NO_SMELL.id})
"""Gates to which a "no" may mean that fuel leaks or smells, by the id that every file gives them."""

NEVER_LEFT = frozenset({C.LINE_OPEN})
"""What may not be left so at a job's end."""

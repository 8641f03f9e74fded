"""What can be so of car and bay and decides which work may begin: the closed list, the words that make and undo it.

A step says with these words what it `needs` and what it `makes`; so does each test that may be told.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import lru_cache
from types import MappingProxyType

from assistant.procedure.model import Hazard, Kind, Step

VAPOUR_CLEARS_S = 300.0
"""Hood open, can away, at least five minutes; the one place of this number. Source: common practice, no source."""


class Condition(StrEnum):
    """What makes some work dangerous, or a test untrue, for as long as it is so."""

    KEY_ON = "key-on"  # ignition on; also where nobody knows
    LEAK = "leak"  # fuel, or the smell of it, outside the pipes
    WRONG_FUEL = "wrong-fuel"
    LINE_OPEN = "line-open"  # a fuel line or joint
    CAN_OUT = "can-out"  # the starting fluid is in the bay
    DUCT_OPEN = "duct-open"
    PROP_IN = "prop-in"  # the pedal prop
    TESTER_HUNG = "tester-hung"  # the spark tester
    VAPOUR = "vapour"
    BATTERY_UNSAFE = "battery-unsafe"  # cracked, swollen, frozen
    PACK_ON = "pack-on"  # jump pack or cables
    CLAMP_OFF = "clamp-off"  # the battery's ground clamp
    ENGINE_HOT = "engine-hot"
    ENGINE_RUNS = "engine-runs"  # as was told, or for a step that is done on a running engine
    OVERHEATED = "overheated"  # told so: steam, boiling coolant, too hot for hands
    PRESSURE_UP = "pressure-up"  # fuel rail; also where nobody knows
    BURNED = "burned"  # something burned or smoked
    KNOCKED = "knocked"  # a crash before, and nobody has looked for leaking fuel since
    CAN_ROLL = "can-roll"  # also where nobody has said, in this job or anew, that it cannot
    BATTERY_LOW = "battery-low"
    BATTERY_FLAT = "battery-flat"
    NO_PACK = "no-jump-pack"
    NO_LOAD_TESTER = "no-load-tester"
    NO_PRESSURE_GAUGE = "no-pressure-gauge"
    NO_DRAIN_METER = "no-drain-meter"
    NO_READER = "no-code-reader"  # or none that clears codes on this car
    NO_COMPUTER = "no-engine-computer"  # nor injectors: a carburettor
    NO_PUMP = "no-electric-pump"  # that anybody has told of: a carburettor, most often fed by the engine
    HELPER = "helper"  # a second person, who turns the key
    BANGED = "banged"  # as it stopped, and nobody has turned it by hand since: told before the starter turns
    BINDS = "binds"  # turned by hand it binds or does not move
    SOMEBODY_NEAR = "somebody-near"  # under the car, at the fan, leaning in: told so


C = Condition

UNDOES: Mapping[str, frozenset[Condition]] = MappingProxyType(
    {
        "key-off": frozenset({C.KEY_ON, C.ENGINE_RUNS}),
        "engine-off": frozenset({C.ENGINE_RUNS}),
        "leak-mended": frozenset({C.LEAK}),
        "fuel-flushed": frozenset({C.WRONG_FUEL}),
        "line-closed": frozenset({C.LINE_OPEN}),
        "can-away": frozenset({C.CAN_OUT}),
        "duct-closed": frozenset({C.DUCT_OPEN}),
        "prop-out": frozenset({C.PROP_IN}),
        "tester-off": frozenset({C.TESTER_HUNG}),
        "battery-sound": frozenset({C.BATTERY_UNSAFE}),
        "pack-off": frozenset({C.PACK_ON}),
        "clamp-on": frozenset({C.CLAMP_OFF}),
        "engine-cool": frozenset({C.ENGINE_HOT}),
        "cooled-down": frozenset({C.OVERHEATED}),
        "pressure-down": frozenset({C.PRESSURE_UP}),
        "burn-mended": frozenset({C.BURNED}),
        "looked-dry": frozenset({C.KNOCKED}),
        "cannot-roll": frozenset({C.CAN_ROLL}),
        "battery-good": frozenset({C.BATTERY_LOW, C.BATTERY_FLAT}),
        "alone": frozenset({C.HELPER}),
        "turned-by-hand": frozenset({C.BANGED}),
        "turns-freely": frozenset({C.BINDS, C.BANGED}),
        "electric-pump": frozenset({C.NO_PUMP}),
        "everybody-clear": frozenset({C.SOMEBODY_NEAR}),
    }
)
"""The word that says it is so no longer, and of what. Vapour has none: only its wait clears it."""

ONLY_TOLD = frozenset({"alone", "turned-by-hand", "turns-freely", "electric-pump", "everybody-clear"})
"""What no step needs."""

BY_WORD_ALONE = frozenset(
    {"leak-mended", "fuel-flushed", "battery-sound", "burn-mended", "looked-dry", "cannot-roll", "cooled-down"}
    | ONLY_TOLD
)
"""Said by the technician to a question of the guide; no step of a file may claim it."""

WORDS = (*(str(each) for each in Condition), *UNDOES)
"""All that `needs` and `makes` may hold."""

STEP_MAKES = tuple(word for word in WORDS if word not in BY_WORD_ALONE)

STEP_NEEDS = (
    *(str(each) for each in (C.KEY_ON, C.LINE_OPEN, C.CAN_OUT, C.DUCT_OPEN, C.PROP_IN, C.PACK_ON, C.PRESSURE_UP)),
    str(C.VAPOUR),
    *(word for word in UNDOES if word not in ("battery-good", *ONLY_TOLD)),
)
"""What a step may need: something undone, or what it may be done in. Vapour: the crank that a spray
is for. Nothing needs a leak."""

NOT_HERE = tuple(
    str(each)
    for each in (
        *(C.NO_PACK, C.NO_LOAD_TESTER, C.NO_PRESSURE_GAUGE, C.NO_DRAIN_METER),
        *(C.NO_READER, C.NO_COMPUTER, C.NO_PUMP),
    )
)
"""What is not at hand, or not on this car, so that a test cannot be done."""

ASKED_FOR_ONCE = frozenset({C.NO_READER, C.NO_COMPUTER})
"""What is asked for more than once, and known to be missing after the first time. All else may be fetched."""

AT_FIRST = frozenset({C.KEY_ON, C.PRESSURE_UP, C.CAN_ROLL})
"""What counts as so until somebody has said otherwise: the side on which nobody is hurt."""

CHANGING = frozenset({C.KEY_ON, C.PRESSURE_UP})
"""What changes with every step, so that it is told as nothing new."""

OF_THE_CAR = frozenset(
    {C.LEAK, C.WRONG_FUEL, C.LINE_OPEN, C.CAN_OUT, C.DUCT_OPEN, C.PROP_IN, C.TESTER_HUNG}
    | {C.VAPOUR, C.BATTERY_UNSAFE, C.PACK_ON, C.CLAMP_OFF, C.BURNED, C.KNOCKED, C.BINDS}
)
"""What stays with the car when a job ends, so that the next job on it begins with it."""

ITEMS: Mapping[str, Condition] = MappingProxyType(
    {
        "fuel line at the rail": C.LINE_OPEN,
        "fuel line at the filter": C.LINE_OPEN,
        "intake duct": C.DUCT_OPEN,
        "pedal prop": C.PROP_IN,
        "spark tester": C.TESTER_HUNG,
        "jump pack": C.PACK_ON,
        "ground clamp": C.CLAMP_OFF,
    }
)
"""Things that a step `removes` or `refits` -> what is so while they are off the car, or on it."""

TURNS_OTHERWISE = frozenset({"jump pack", "spark plugs"})
"""Things with which, on or off the car, the speed of the starter tells nothing of battery and starter."""

SPRAYED = frozenset({C.VAPOUR, C.CAN_OUT})
"""What a spray leaves from its first tone on."""

HOT_AFTER_MIN = 1.0
"""An engine that ran longer than this counts as hot. Source: judgement."""

_KEY_ON = re.compile(r"\bkey on\b|\bkey at start\b|\bstarts? (?:the engine|it)\b", re.IGNORECASE)
_KEY_OFF = re.compile(r"\bkey (?:is )?(?:out|off)\b|\bswitch (?:the engine )?off\b", re.IGNORECASE)


def words_of(conditions: Iterable[Condition]) -> list[str]:
    """The conditions as a fact keeps them: in the order of the list."""
    known = frozenset(conditions)
    return [str(each) for each in Condition if each in known]


def after_words(conditions: frozenset[Condition], words: Iterable[str]) -> frozenset[Condition]:
    """What is so after these words were made true, one after the other. Raises ValueError for an unknown one."""
    for word in words:
        conditions = conditions - UNDOES[word] if word in UNDOES else conditions | {Condition(word)}
    return conditions


@lru_cache(maxsize=4096)
def switches_on(say: str) -> bool:
    """Whether the words of a step have the key turned on: they are what is done."""
    return _KEY_ON.search(say) is not None


def begun(step: Step) -> frozenset[Condition]:
    """What the step makes as soon as it was told what to do, whether or not it is finished: all that endangers.

    The key is read off the words of the step: they are what is done. A running engine gets hot, and a key that is on
    lets the pump raise the pressure.
    """
    made = {Condition(word) for word in step.makes if word not in UNDOES}
    runs = Hazard.RUNNING_ENGINE in step.all_hazards and step.kind is not Kind.CRANK
    made |= {C.ENGINE_HOT} if runs and step.minutes > HOT_AFTER_MIN else set()
    made |= {C.KEY_ON} if runs or step.kind is Kind.CRANK or switches_on(step.say) else set()
    made |= {C.PRESSURE_UP} if C.KEY_ON in made else set()
    return frozenset(made) | (SPRAYED if Hazard.SPRAYING in step.all_hazards and step.pace is None else frozenset())


def finished(step: Step) -> tuple[str, ...]:
    """What the step has undone once it is finished, in words; of the key the last mention counts."""
    undone = [word for word in step.makes if word in UNDOES]
    off = [found.start() for found in _KEY_OFF.finditer(step.say)]
    on = [found.start() for found in _KEY_ON.finditer(step.say)]
    if off and max(off) > max(on, default=-1) and step.kind is not Kind.CRANK:
        undone.append("key-off")
    return tuple(dict.fromkeys(undone))

"""Made-up cars: what a made-up technician would answer about each. All of it is our own invention."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeUpCar:
    """A car with one fault. `answers`: "procedure/step" -> a result id, or the words of a reading or complaint.

    `finding`: the fault id that a good technician would reach from these answers. `notes`: "procedure/step" -> words
    dictated as a note there, before the answer. `led`: the plan leads, else the procedure's own order holds.
    `repaired`: what was found is repaired then, and checked.
    """

    name: str
    story: str
    finding: str
    vehicle: Mapping[str, str]
    answers: Mapping[str, str]
    notes: Mapping[str, str] = field(default_factory=dict)
    led: bool = False
    repaired: bool = False


KNOWN = {
    "fuel": "petrol",
    "cylinders": "4",
    "ignition": "coil-on-plug",
    "throttle-by-wire": "yes",
    "forced-induction": "no",
    "glow-plugs-or-intake-heater": "no",
    "hybrid": "no",
    "remote-starter": "no",
}
"""Facts of a made-up four-cylinder petrol car."""

OPENING = {
    "no-start/complaint": "it cranks all day but it will not start",
    "no-start/changed": "nothing",
    "no-start/how-stopped": "unknown",
    "no-start/came-before": "never",
    "no-start/reader": "talks",
    "no-start/speed": "shows",
    "no-start/values": "plausible",
    "safety-setup/shop": "safe",
    "no-start/fuel-level": "some",
    "no-start/security": "out",
    "no-start/visual": "sound",
    "battery-state/case": "sound",
    "boost-battery/case": "sound",
    "battery-state/posts": "tight",
    "battery-state/stood": "rested",
    "battery-state/rest-volts": "twelve point six volts",
    "cranking-check/turn": "normal",
    "cranking-check/crank-volts": "ten point four volts",
}
"""What is in order in both cars."""

EMPTY_TANK = MadeUpCar(
    name="empty-tank",
    story="A made-up four-cylinder petrol car that was parked with the gauge on empty.",
    finding="empty-tank",
    vehicle=KNOWN,
    answers=OPENING | {"no-start/fuel-level": "empty", "no-start/fuel-crank": "runs"},
    notes={"no-start/fuel-level": "the fuel gauge stands at empty since last week"},
)

DEAD_PUMP = MadeUpCar(
    name="dead-pump",
    story="A made-up four-cylinder petrol car whose fuel pump has died. The plan leads; the new pump is checked.",
    finding="pump-dead",
    led=True,
    repaired=True,
    vehicle={},
    answers=OPENING
    | {
        "vehicle-facts/fuel": "petrol",
        "vehicle-facts/drive": "no",
        "vehicle-facts/cylinders": "4",
        "vehicle-facts/ignition": "coil-on-plug",
        "fuel-substitute/throttle": "yes",
        "fuel-substitute/breathing": "no",
        "fuel-substitute/heater": "no",
        "spark-check/choice": "take",
        "spark-check/sniff": "clean",
        "make-spark-tester/have-one": "proved",
        "spark-check-coil-on-plug/first-crank": "present",
        "no-start/fuel-signs": "dry",
        "one-plug/plug-out": "dry",
        "no-start/prime": "silent",
        "fuel-substitute/label": "allowed",
        "fuel-substitute/leaks": "clean",
        "fuel-substitute/try-crank": "ran-briefly",
        "vapour-cleared/sniff": "clean",
        "fuel-supply/sound": "silent",
        "pump-feed/crash-switch": "down",
        "pump-feed/fuse": "whole",
        "pump-feed/relay": "silent",
        "pump-feed/pump-supply": "eleven point nine volts",
        "pump-feed/pump-ground": "zero point one volts",
        "pump-feed/at-pump": "silent",
        "no-start/cycles": "dead",
        "recheck-start/look": "complete",
        "recheck-start/first-start": "runs",
        "recheck-start/idle": "smooth",
        "recheck-start/clear-codes": "cleared",
        "recheck-start/second-start": "runs",
        "recheck-start/codes-back": "none",
    },
    notes={"no-start/prime": "no noise from the tank and the relay clicks"},
)

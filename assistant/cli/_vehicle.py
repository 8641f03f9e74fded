"""What `--vehicle KEY=VALUE` may say of a car: facts, limits of its own, and who it is."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable

from assistant.cli._options import LONGEST_VALUE
from assistant.errors import UsageError
from assistant.guide import Library
from assistant.guide.places import VEHICLE_DUTY
from assistant.procedure.vehicle import AMBIGUOUS, VEHICLE_FACTS, written_values

IDENTITY = ("vin", "plate", "make", "model", "year", "engine", "mileage", "owner")
"""What tells one car from another: kept in the record, used for nothing else."""

SHAPES = {
    "year": (re.compile(r"(19|20)\d\d"), "a year such as 2009"),
    "mileage": (re.compile(r"\d[\d., ]*( ?(km|mi|miles))?"), "a number such as 82000 km"),
}
"""Identity that is written in one way only: how, and in words."""

MOST_NEAR = 3
"""So many keys are named that are like one that is not known."""

DUTY_RANGE_S = {"starter-burst-s": (1.0, 30.0), "starter-stop-s": (1.0, 30.0), "starter-rest-s": (60.0, 3_600.0)}
"""The longest published burst is 30 s (TM 10-3930-671-24, page F-303); the least rest is judgement."""


def read_vehicle(given: Iterable[str], library: Library) -> dict[str, str | float]:
    """The vehicle facts, limits and identity given as KEY=VALUE. Raises UsageError for an unknown key or value."""
    limits = {limit.id for procedure in library.values() for limit in procedure.limits} | set(VEHICLE_DUTY)
    told: dict[str, str | float] = {}
    for text in given:
        key, equals, value = text.partition("=")
        key, value = key.strip(), value.strip()
        if not equals or not key or not value:
            raise UsageError(f"--vehicle takes KEY=VALUE, not '{text[:LONGEST_VALUE]}'.")
        if key in told:
            raise UsageError(f"--vehicle {key} is given twice.")
        told[key] = _value(key, value, limits)
    _check_duty(told)
    _check_bands(told, library)
    return told


def _check_duty(told: dict[str, str | float]) -> None:
    """The starter's own times lie within what any starter can bear."""
    for name, (least, most) in DUTY_RANGE_S.items():
        if name in told and not least <= float(told[name]) <= most:
            raise UsageError(f"--vehicle {name} must lie between {least:g} and {most:g} seconds.")


def _check_bands(told: dict[str, str | float], library: Library) -> None:
    """A limit of this vehicle must leave every range of a reading in its order."""
    for procedure in library.values():
        limits = {limit.id: float(told.get(limit.id, limit.value)) for limit in procedure.limits}
        bands = [band for step in procedure.steps for band in step.bands if band.at_least and band.below]
        for band in bands:
            low, high = band.at_least or "", band.below or ""
            if limits[low] >= limits[high]:
                raise UsageError(f"--vehicle: '{low}' ({limits[low]:g}) must stay below '{high}' ({limits[high]:g}).")


def _value(key: str, value: str, limits: set[str]) -> str | float:
    if key in VEHICLE_FACTS:
        return _fact(key, value)
    if key in limits:
        return _limit(key, value)
    if key not in IDENTITY:
        raise UsageError(f"--vehicle does not know '{key[:LONGEST_VALUE]}'; {_known(key, limits)}.")
    if len(value) > LONGEST_VALUE or not value.isprintable():
        raise UsageError(f"--vehicle {key} has at most {LONGEST_VALUE} characters that can be seen.")
    if key in SHAPES and not SHAPES[key][0].fullmatch(value):
        raise UsageError(f"--vehicle {key} takes {SHAPES[key][1]}, not '{value}'.")
    return value


def _known(key: str, limits: set[str]) -> str:
    """What is like the key; where nothing is, what everybody may give: of limits there are more than one can read."""
    near = difflib.get_close_matches(key.casefold(), [*VEHICLE_FACTS, *IDENTITY, *sorted(limits)], n=MOST_NEAR)
    if near:
        return f"nearest to it is {' or '.join(near)}"
    return f"it knows {', '.join([*VEHICLE_FACTS, *IDENTITY])} and each limit of the procedures by its id"


def _fact(key: str, value: str) -> str:
    """The value that is meant by what was written."""
    known = written_values(key)
    if value not in known:
        why = "which means one fuel to some and another to others" if value in AMBIGUOUS.get(key, ()) else ""
        raise UsageError(
            f"--vehicle {key} can be {', '.join(known)}; not '{value[:LONGEST_VALUE]}'{why and ', '}{why}."
        )
    return known[value]


def _limit(key: str, value: str) -> float:
    try:
        number = float(value)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise UsageError(f"--vehicle {key} is a limit and takes a number, not '{value[:LONGEST_VALUE]}'.")
    return number

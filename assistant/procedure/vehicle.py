"""The closed list of vehicle facts that steps may ask for or choose by, each with the values it can have.

A fact that is not known has the value `unknown`, where the list allows it; `choose` sends it to `otherwise`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

UNKNOWN = "unknown"

_YES_NO_UNKNOWN = ("yes", "no", UNKNOWN)

VEHICLE_FACTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "fuel": ("petrol", "diesel", "gas", "dual", UNKNOWN),
        "cylinders": ("1", "2", "3", "4", "5", "6", "8", "10", "12", UNKNOWN),
        "ignition": ("coil-on-plug", "wasted-spark", "distributor", UNKNOWN),
        "throttle-by-wire": _YES_NO_UNKNOWN,
        "forced-induction": _YES_NO_UNKNOWN,
        "glow-plugs-or-intake-heater": _YES_NO_UNKNOWN,
        "hybrid": _YES_NO_UNKNOWN,
        "remote-starter": ("yes", "no"),
    }
)
"""Fact → its values. `gas` is gaseous fuel, `dual` petrol with a gas system beside it;
`remote-starter` is a hand switch that turns the starter from the hood."""

TOLD_IN_PASSING = (
    *("still", "slow", "turns", "dies", "wet", "hot", "sudden", "sputtered", "bang", "wrong-fuel", "leaks"),
    *("drains", "uncharged"),
)
"""What a complaint may tell beside itself: whether the starter turns the engine, when it fails, how it stopped, what of
fuel."""

WRITTEN: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {"fuel": MappingProxyType({"gasoline": "petrol", "propane": "gas", "natural-gas": "gas"})}
)
"""Fact → what people write for a value, beside the values themselves."""

AMBIGUOUS: Mapping[str, frozenset[str]] = MappingProxyType({"fuel": frozenset({"gas"})})
"""Fact → values that nobody may write, since they mean one thing to some and another to others: petrol, or propane."""

_SAID = MappingProxyType(
    {("fuel", "gas"): "propane or natural gas", ("fuel", "dual"): "petrol, with a gas system beside it"}
)


def written_values(fact: str) -> Mapping[str, str]:
    """What may be written for the fact → its value."""
    plain = {value: value for value in VEHICLE_FACTS[fact] if value not in AMBIGUOUS.get(fact, ())}
    return {**plain, **WRITTEN.get(fact, {})}


def known_as(fact: str, value: str) -> str:
    """The fact with its value as one says what is known already: "four cylinders", "no hybrid"."""
    if value == UNKNOWN:
        return f"nobody knows the {fact.replace('-', ' ')}"
    if fact == "cylinders":
        return f"{_COUNTS[value]} cylinder{'' if value == '1' else 's'}"
    if value in _YES_NO_UNKNOWN:
        return f"{'' if value == 'yes' else 'no '}{fact.replace('-', ' ')}"
    return said_value(fact, value)


_COUNTS = {
    "1": "one", "2": "two", "3": "three", "4": "four", "5": "five",
    "6": "six", "8": "eight", "10": "ten", "12": "twelve",
}  # fmt: skip


def said_value(fact: str, value: str) -> str:
    """The value of a fact in words that mean nothing else: what is known was not always said, so no phrase will do."""
    return _SAID.get((fact, value), value.replace("-", " "))

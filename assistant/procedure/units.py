"""The unit symbols that a limit or a reading may carry, by quantity. `language.quantities` says how they are spoken."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.procedure.model import Quantity

_PRESSURE = ("psi", "kPa", "bar")

UNITS: Mapping[Quantity, tuple[str, ...]] = MappingProxyType(
    {
        Quantity.VOLTAGE: ("V", "mV"),
        Quantity.VOLTAGE_DROP: ("V", "mV"),
        Quantity.CURRENT: ("A", "mA"),
        Quantity.PARASITIC_CURRENT: ("mA", "A"),
        Quantity.RESISTANCE: ("ohm", "kohm", "Mohm"),
        Quantity.PRESSURE: _PRESSURE,
        Quantity.COMPRESSION: _PRESSURE,
        Quantity.VACUUM: ("inHg", "kPa", "mbar", "bar"),
        Quantity.TEMPERATURE: ("degC", "degF"),
        Quantity.CRANKING_SPEED: ("rpm",),
        Quantity.DURATION: ("s", "min", "h"),
        Quantity.VOLUME: ("ml", "l", "pint", "floz"),
        Quantity.PERCENT: ("%",),
    }
)
"""Quantity → its units. A test holds this equal to what the language room can hear and say."""

KNOWN_UNITS = tuple(dict.fromkeys(unit for units in UNITS.values() for unit in units))
"""Every unit symbol, in the order above."""

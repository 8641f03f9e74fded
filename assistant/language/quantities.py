"""What each quantity is measured in: accepted units and their words, meter resolution, and what it can be at all.

Conversion factors are exact by definition or from NIST SP 811 (from memory), and are checked against pint in
tests/outside. Possible ranges and resolutions are common practice, no source: they only catch what was misheard.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from assistant.language.number_grammar import ANY, Span
from assistant.procedure.model import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit of measure: value in the base unit of its kind = value * factor + offset.

    `one`, `many`: how we speak it. `words`: every spoken form. `typed`: every typed form, lower case.
    """

    symbol: str
    kind: str
    factor: float
    one: str
    many: str
    offset: float = 0.0
    words: tuple[str, ...] = ()
    typed: tuple[str, ...] = ()

    @property
    def spoken(self) -> tuple[str, ...]:
        """Every spoken form, ours first."""
        return tuple(dict.fromkeys((self.many, self.one, *self.words)))


UNITS: tuple[Unit, ...] = (
    Unit(symbol="V", kind="volt", factor=1, one="volt", many="volts", words=("v",), typed=("v",)),
    Unit(
        symbol="mV",
        kind="volt",
        factor=0.001,
        one="millivolt",
        many="millivolts",
        words=("m v",),
        typed=("mv",),
    ),
    Unit(symbol="A", kind="ampere", factor=1, one="amp", many="amps", words=("amperes", "ampere"), typed=("a",)),
    Unit(
        symbol="mA",
        kind="ampere",
        factor=0.001,
        one="milliamp",
        many="milliamps",
        words=("milliamperes", "m a"),
        typed=("ma",),
    ),
    Unit(symbol="ohm", kind="ohm", factor=1, one="ohm", many="ohms", typed=("ω",)),
    Unit(
        symbol="kohm", kind="ohm", factor=1_000, one="kilohm", many="kilohms", words=("k ohms",), typed=("kohm", "kω")
    ),
    Unit(symbol="Mohm", kind="ohm", factor=1_000_000, one="megohm", many="megohms", typed=("meg",)),
    Unit(
        symbol="psi",
        kind="pascal",
        factor=6_894.757293168361,
        one="p s i",
        many="p s i",
        words=("pounds",),
        typed=("psi",),
    ),
    Unit(
        symbol="kPa",
        kind="pascal",
        factor=1_000,
        one="kilopascal",
        many="kilopascals",
        words=("k p a",),
        typed=("kpa",),
    ),
    Unit(symbol="bar", kind="pascal", factor=100_000, one="bar", many="bar", words=("bars",), typed=("bar",)),
    Unit(
        symbol="mbar",
        kind="pascal",
        factor=100,
        one="millibar",
        many="millibar",
        words=("millibars",),
        typed=("mbar",),
    ),
    Unit(
        symbol="inHg",
        kind="pascal",
        factor=3_386.389,
        one="inch of mercury",
        many="inches of mercury",
        words=("inches", "inch"),
        typed=("inhg", "in hg", '"hg'),
    ),
    Unit(
        symbol="degC",
        kind="kelvin",
        factor=1,
        offset=273.15,
        one="degree celsius",
        many="degrees celsius",
        words=("celsius", "degrees c", "degrees centigrade"),
        typed=("degc", "°c", "c"),
    ),
    Unit(
        symbol="degF",
        kind="kelvin",
        factor=5 / 9,
        offset=459.67 * 5 / 9,
        one="degree fahrenheit",
        many="degrees fahrenheit",
        words=("fahrenheit", "degrees f"),
        typed=("degf", "°f", "f"),
    ),
    Unit(
        symbol="rpm",
        kind="rpm",
        factor=1,
        one="r p m",
        many="r p m",
        words=("revs", "revs a minute"),
        typed=("rpm",),
    ),
    Unit(symbol="s", kind="second", factor=1, one="second", many="seconds", typed=("s", "sec")),
    Unit(symbol="min", kind="second", factor=60, one="minute", many="minutes", typed=("min",)),
    Unit(symbol="h", kind="second", factor=3_600, one="hour", many="hours", typed=("h", "hr")),
    Unit(
        symbol="ml",
        kind="litre",
        factor=0.001,
        one="millilitre",
        many="millilitres",
        words=("milliliters", "milliliter", "m l", "c c"),
        typed=("ml", "cc"),
    ),
    Unit(symbol="l", kind="litre", factor=1, one="litre", many="litres", words=("liters", "liter"), typed=("l",)),
    Unit(symbol="pint", kind="litre", factor=0.473176473, one="pint", many="pints", typed=("pt",)),
    Unit(
        symbol="floz",
        kind="litre",
        factor=0.0295735295625,
        one="fluid ounce",
        many="fluid ounces",
        words=("ounces", "ounce"),
        typed=("floz", "fl oz", "oz"),
    ),
    Unit(symbol="%", kind="percent", factor=1, one="percent", many="percent", words=("per cent",), typed=("%",)),
)
"""Every unit that may be named in a procedure, typed or spoken. Pressures are gauge unless the procedure says else."""

_ALIASES = {"°C": "degC", "C": "degC", "°F": "degF", "F": "degF", "Ω": "ohm", "kΩ": "kohm", "in Hg": "inHg", "L": "l"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """How one quantity is measured.

    `decimals`: accepted unit symbol -> digits after the point that a common meter shows; the first is usual.
    `low`, `high`: what the quantity can be, both in the first unit.
    `noun`: how we speak of it.
    """

    noun: str
    decimals: Mapping[str, int]
    low: float
    high: float

    @property
    def usual(self) -> str:
        """The unit in which `low` and `high` are given."""
        return next(iter(self.decimals))


MEASURES: Mapping[Quantity, Measure] = MappingProxyType(
    {
        Quantity.VOLTAGE: Measure(noun="a voltage", decimals={"V": 2, "mV": 0}, low=-0.5, high=32),
        Quantity.VOLTAGE_DROP: Measure(noun="a voltage drop", decimals={"V": 2, "mV": 0}, low=-0.5, high=16),
        Quantity.CURRENT: Measure(noun="a current", decimals={"A": 1, "mA": 0}, low=-500, high=1_500),
        Quantity.PARASITIC_CURRENT: Measure(noun="a current", decimals={"mA": 0, "A": 3}, low=0, high=20_000),
        Quantity.RESISTANCE: Measure(
            noun="a resistance", decimals={"ohm": 1, "kohm": 2, "Mohm": 2}, low=0, high=40_000_000
        ),
        Quantity.PRESSURE: Measure(noun="a pressure", decimals={"psi": 0, "kPa": 0, "bar": 1}, low=0, high=6_000),
        Quantity.COMPRESSION: Measure(noun="a pressure", decimals={"psi": 0, "kPa": 0, "bar": 1}, low=0, high=650),
        Quantity.VACUUM: Measure(
            noun="a vacuum",
            decimals={"inHg": 1, "kPa": 0, "mbar": 0, "bar": 2},
            low=0,
            high=30,
        ),
        Quantity.TEMPERATURE: Measure(noun="a temperature", decimals={"degC": 0, "degF": 0}, low=-60, high=400),
        Quantity.CRANKING_SPEED: Measure(noun="a speed", decimals={"rpm": 0}, low=0, high=1_000),
        Quantity.DURATION: Measure(noun="a time", decimals={"s": 1, "min": 1, "h": 1}, low=0, high=172_800),
        Quantity.VOLUME: Measure(
            noun="a volume",
            decimals={"ml": 0, "l": 2, "pint": 2, "floz": 1},
            low=0,
            high=5_000,
        ),
        Quantity.PERCENT: Measure(noun="a percentage", decimals={"%": 0}, low=0, high=100),
    }
)
"""Each quantity's measure."""


def unit_named(symbol: str) -> Unit:
    """The unit of that symbol, as a procedure writes it. Raises KeyError for an unknown one."""
    wanted = _ALIASES.get(symbol, symbol)
    for unit in UNITS:
        if unit.symbol == wanted:
            return unit
    raise KeyError(symbol)


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """The same amount in another unit of its kind. Raises ValueError when the kinds differ, KeyError when unknown."""
    source, target = unit_named(from_unit), unit_named(to_unit)
    if source.kind != target.kind:
        raise ValueError(f"{from_unit} and {to_unit} do not measure the same kind of thing")
    if source is target:
        return value
    base = value * source.factor + source.offset
    return float(f"{(base - target.offset) / target.factor:.10g}")


def units_of(quantity: Quantity) -> tuple[Unit, ...]:
    """The units in which this quantity may be said."""
    return tuple(unit_named(symbol) for symbol in MEASURES[quantity].decimals)


def decimals_of(quantity: Quantity, unit: str) -> int:
    """Digits after the point that a common meter shows for this quantity in this unit."""
    return MEASURES[quantity].decimals[unit_named(unit).symbol]


def possible_range(quantity: Quantity, unit: str) -> tuple[float, float]:
    """The least and the greatest that this quantity can be, in this unit."""
    measure = MEASURES[quantity]
    return convert(measure.low, measure.usual, unit), convert(measure.high, measure.usual, unit)


SHOWN_DIGITS = 4
"""Digits that a common meter shows; a large value has fewer of them after the point. Common practice, no source."""


def shown_decimals(quantity: Quantity, unit: str, value: float) -> int:
    """Digits after the point that a common meter shows of that value: 712.5 ohms, but 1712."""
    before = len(str(int(abs(value))))
    return max(0, min(decimals_of(quantity, unit), SHOWN_DIGITS - before))


def spoken_span(quantity: Quantity, unit: str) -> Span:
    """The numbers that are said of this quantity in this unit: what it can be at all, as a common meter shows it.

    One digit after the point is taken of any meter. Larger numbers than 99,999 are said in a larger unit.
    """
    low, high = possible_range(quantity, unit)
    return Span(
        most=min(ANY.most, math.floor(max(-low, high))),
        most_with_decimals=10 ** (SHOWN_DIGITS - 1) - 1,
        decimals=max(1, decimals_of(quantity, unit)),
        signed=low < 0,
    )


def is_possible(quantity: Quantity, value: float, unit: str) -> bool:
    """Whether the quantity can be that at all."""
    low, high = possible_range(quantity, unit)
    return low <= value <= high


def likely_value(quantity: Quantity, value: Decimal, unit: str) -> Decimal | None:
    """What an impossible number was probably meant to be: a lost point (124 for 12.4) or swapped meter leads.

    None when no such reading is possible either. Source: judgement.
    """
    low, high = (Decimal(str(end)) for end in possible_range(quantity, unit))
    shorter = (value / 10, value / 100, value / 1000)
    for candidate in (-value, *shorter) if value < 0 else shorter:
        if low <= candidate <= high and candidate != value:
            return candidate.normalize()
    return None

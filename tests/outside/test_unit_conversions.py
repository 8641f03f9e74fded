"""Unit conversions against pint (BSD, a reference library for units)."""

import pytest
from pint import UnitRegistry

from assistant.language.quantities import UNITS, convert

PINT_NAMES = {
    "V": "volt", "mV": "millivolt", "A": "ampere", "mA": "milliampere", "ohm": "ohm", "kohm": "kiloohm",
    "Mohm": "megaohm", "psi": "psi", "kPa": "kilopascal", "bar": "bar", "mbar": "millibar", "inHg": "inch_Hg",
    "degC": "degC", "degF": "degF", "rpm": "rpm", "s": "second", "min": "minute", "h": "hour", "ml": "milliliter",
    "l": "liter", "pint": "pint", "floz": "fluid_ounce", "%": "percent",
}  # fmt: skip


@pytest.fixture(scope="module")
def registry():
    """One registry for all: it is slow to make."""
    return UnitRegistry()


@pytest.mark.parametrize("source", UNITS, ids=lambda unit: unit.symbol)
@pytest.mark.parametrize("value", [0.0, 1.0, 12.4, 155.0, -7.5])
def test_every_conversion_agrees(registry, source, value):
    """Source: pint's own definitions, for every pair of units of one kind."""
    quantity = registry.Quantity(value, PINT_NAMES[source.symbol])
    for target in UNITS:
        if target.kind == source.kind:
            expected = quantity.to(PINT_NAMES[target.symbol]).magnitude
            assert convert(value, source.symbol, target.symbol) == pytest.approx(expected, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "source", "target", "expected"),
    [(3, "bar", "psi", 43.5), (35, "psi", "kPa", 241), (60, "psi", "kPa", 414)],
)
def test_worked_examples(value, source, target, expected):
    """Source: worked example WE-23 of the trade figures, derived by arithmetic; tolerance 0.5."""
    assert convert(value, source, target) == pytest.approx(expected, abs=0.5)


def test_unlike_kinds_do_not_convert():
    """Volts never become pressure."""
    with pytest.raises(ValueError, match="same kind"):
        convert(1, "V", "psi")

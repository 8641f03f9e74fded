"""What a quantity can be, what was probably meant, and units by their names."""

from decimal import Decimal

import pytest

from assistant.language.manner import FIRST_JOBS, Manner, usual
from assistant.language.quantities import (
    MEASURES,
    is_possible,
    likely_value,
    possible_range,
    shown_decimals,
    spoken_span,
    unit_named,
    units_of,
)
from assistant.procedure.model import Quantity


@pytest.mark.parametrize(
    ("value", "meant"),
    [("124", "12.4"), ("1240", "12.4"), ("12400", "12.4"), ("-12.4", "12.4"), ("9999999", None)],
)
def test_a_voltage_that_cannot_be_is_taken_for_a_lost_point_or_swapped_leads(value: str, meant: str | None) -> None:
    """Of what is possible the least changed; nothing where no change helps."""
    assert likely_value(Quantity.VOLTAGE, Decimal(value), "V") == (None if meant is None else Decimal(meant))


@pytest.mark.parametrize("quantity", list(Quantity))
def test_the_ends_of_a_range_are_possible_and_what_lies_beyond_is_not(quantity: Quantity) -> None:
    """In the unit that is asked most."""
    unit = units_of(quantity)[0].symbol
    low, high = possible_range(quantity, unit)
    assert low < high
    assert is_possible(quantity, low, unit) and is_possible(quantity, high, unit)
    assert not is_possible(quantity, high + 1e-3 * abs(high) + 1e-3, unit)
    assert not is_possible(quantity, low - 1e-3 * abs(low) - 1e-3, unit)


def test_a_unit_is_known_by_its_symbol_and_an_unknown_one_is_told() -> None:
    """By KeyError, in its own letters."""
    assert unit_named("V").symbol == "V"
    with pytest.raises(KeyError, match="furlong"):
        unit_named("furlong")


@pytest.mark.parametrize(("jobs", "manner"), [(0, Manner.FULL), (FIRST_JOBS - 1, Manner.FULL), (3, Manner.BRIEF)])
def test_the_first_three_jobs_are_led_in_full(jobs: int, manner: Manner) -> None:
    """Later ones briefly."""
    assert usual(jobs) is manner and FIRST_JOBS == 3


METERS = """
voltage: V 2, mV 0, from -0.5 to 32
voltage-drop: V 2, mV 0, from -0.5 to 16
current: A 1, mA 0, from -500 to 1500
parasitic-current: mA 0, A 3, from 0 to 20000
resistance: ohm 1, kohm 2, Mohm 2, from 0 to 40000000
pressure: psi 0, kPa 0, bar 1, from 0 to 6000
compression: psi 0, kPa 0, bar 1, from 0 to 650
vacuum: inHg 1, kPa 0, mbar 0, bar 2, from 0 to 30
temperature: degC 0, degF 0, from -60 to 400
cranking-speed: rpm 0, from 0 to 1000
duration: s 1, min 1, h 1, from 0 to 172800
volume: ml 0, l 2, pint 2, floz 1, from 0 to 5000
percent: % 0, from 0 to 100
"""
"""Digits after the point in each unit, and the ends of what can be. Common practice, no source."""


@pytest.mark.parametrize("line", METERS.strip().splitlines())
def test_what_a_common_meter_shows_of_a_quantity(line: str) -> None:
    """The first unit is usual, and what can be is told in it."""
    name, _, rest = line.partition(": ")
    *shown, ends = rest.split(", ")
    quantity = Quantity(name)
    assert [f"{unit} {digits}" for unit, digits in MEASURES[quantity].decimals.items()] == shown
    low, high = possible_range(quantity, shown[0].split()[0])
    assert ends == f"from {low:g} to {high:.10g}"


def test_a_large_value_is_shown_with_fewer_digits() -> None:
    """Four in all, and none is made up that the unit has not."""
    ohms = {7.25: 1, 712.5: 1, 1712.0: 0, 99_999.0: 0}
    assert {value: shown_decimals(Quantity.RESISTANCE, "ohm", value) for value in ohms} == ohms
    assert shown_decimals(Quantity.RESISTANCE, "kohm", 100.04) == 1
    assert shown_decimals(Quantity.VOLTAGE, "V", -12.45) == 2


def test_the_numbers_that_are_listened_for_are_those_that_can_be() -> None:
    """With one digit after the point at least, and with none from a thousand on."""
    volts, ohms = spoken_span(Quantity.VOLTAGE, "V"), spoken_span(Quantity.RESISTANCE, "ohm")
    assert (volts.most, volts.most_with_decimals, volts.decimals, volts.signed) == (32, 999, 2, True)
    assert (ohms.most, ohms.most_with_decimals, ohms.decimals, ohms.signed) == (99_999, 999, 1, False)
    assert spoken_span(Quantity.CRANKING_SPEED, "rpm").decimals == 1
    assert spoken_span(Quantity.CURRENT, "A").most == 1500

"""What a quantity can be, what was probably meant, and units by their names."""

from decimal import Decimal

import pytest

from assistant.language.manner import FIRST_JOBS, Manner, usual
from assistant.language.quantities import is_possible, likely_value, possible_range, unit_named, units_of
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

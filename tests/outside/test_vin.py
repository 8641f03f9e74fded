"""The check digit against the worked example of the rule that defines it.

Source: 49 CFR 565.15(c), tables III (values), IV (weights), V (remainders) and VI (calculation). The example's products
are 8, 49, 24, 5, 32, 15, 18, 80, 0, 45, 56, 7, 6, 40, 12, 12, 2; their sum is 411; 411 / 11 leaves 4.
"""

from __future__ import annotations

import pytest

from assistant.record.vin import VinCheck, check_digit, check_vin

EXAMPLE = "1G4AH59H45G118341"


def test_the_published_example() -> None:
    """The example of the regulation has the check digit 4."""
    assert check_digit(EXAMPLE) == "4"
    assert check_vin(EXAMPLE) is VinCheck.RIGHT


@pytest.mark.parametrize("position", [place for place in range(17) if place != 8])
def test_any_other_digit_in_the_example_shows(position: int) -> None:
    """A character raised by one place in value makes the example's check digit wrong."""
    other = {"G": "F", "A": "B", "H": "G"}.get(EXAMPLE[position]) or str((int(EXAMPLE[position]) + 1) % 10)
    changed = EXAMPLE[:position] + other + EXAMPLE[position + 1 :]
    assert check_vin(changed) in (VinCheck.WRONG, VinCheck.NOT_APPLICABLE)

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


VALUES = "A1 B2 C3 D4 E5 F6 G7 H8 J1 K2 L3 M4 N5 P7 R9 S2 T3 U4 V5 W6 X7 Y8 Z9 00 11 22 33 44 55 66 77 88 99"
"""Table III of the same rule: each character and its value. I, O and Q are not used."""

WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
"""Table IV: the weight of each place."""


def digit(total: int) -> str:
    """Table V: the remainder by eleven, ten written as X."""
    return "X" if total % 11 == 10 else str(total % 11)


@pytest.mark.parametrize("pair", VALUES.split())
def test_each_character_has_its_value(pair: str) -> None:
    """Alone in the second place, whose weight is 7."""
    assert check_digit(f"0{pair[0]}{'0' * 15}") == digit(7 * int(pair[1]))


@pytest.mark.parametrize("place", range(17))
def test_each_place_has_its_weight(place: int) -> None:
    """By a single 1 there, and by a 9."""
    for value in (1, 9):
        assert check_digit(f"{'0' * place}{value}{'0' * (16 - place)}") == digit(value * WEIGHTS[place])


@pytest.mark.parametrize("first", "12345067JW")
def test_a_wrong_digit_is_held_against_north_american_numbers_alone(first: str) -> None:
    """First characters of ISO 3780's regions, from memory: 1 to 5 are North America."""
    vin = first + EXAMPLE[1:8] + "0" + EXAMPLE[9:]
    vin = vin if check_digit(vin) != "0" else f"{vin[:8]}1{vin[9:]}"
    assert check_vin(vin) is (VinCheck.WRONG if first in "12345" else VinCheck.NOT_APPLICABLE)

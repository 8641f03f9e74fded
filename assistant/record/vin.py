"""The check digit of a vehicle identification number.

Source: 49 CFR 565.15(c), tables III, IV and V: each character has a value, each position a weight; the sum modulo 11
stands in position 9, ten written as X. The rule binds vehicles for the United States; Canada uses it too (from memory).
Elsewhere position 9 may hold anything.
"""

from __future__ import annotations

from enum import StrEnum

LENGTH = 17
CHECK_POSITION = 9  # counted from 1

_VALUES = {str(digit): digit for digit in range(10)} | dict(
    zip("ABCDEFGHJKLMNPRSTUVWXYZ", [1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9], strict=True)
)
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_NORTH_AMERICA = frozenset("12345")
"""First characters given to North America. Source: ISO 3780 world regions (from memory)."""


class VinCheck(StrEnum):
    """What the check digit says."""

    RIGHT = "right"
    WRONG = "wrong"
    NOT_APPLICABLE = "not-applicable"  # digit does not fit, and the vehicle need not follow the rule
    NO_VIN = "not-a-vin"  # not 17 characters, or one that no VIN has


def tidy_vin(words: str) -> str:
    """Capitals without blanks and hyphens, as the number is stamped."""
    return "".join(words.split()).replace("-", "").upper()


def check_digit(vin: str) -> str:
    """The digit that belongs in position 9. Raises ValueError for what is not 17 characters of a VIN."""
    if len(vin) != LENGTH or any(character not in _VALUES for character in vin):
        raise ValueError("a VIN has 17 characters: digits and capital letters without I, O and Q")
    rest = sum(_VALUES[character] * weight for character, weight in zip(vin, _WEIGHTS, strict=True)) % 11
    return "X" if rest == 10 else str(rest)


def check_vin(vin: str) -> VinCheck:
    """Whether the number's check digit is right, where it applies."""
    try:
        right = check_digit(vin) == vin[CHECK_POSITION - 1]
    except ValueError:
        return VinCheck.NO_VIN
    if right:
        return VinCheck.RIGHT
    return VinCheck.WRONG if vin[0] in _NORTH_AMERICA else VinCheck.NOT_APPLICABLE

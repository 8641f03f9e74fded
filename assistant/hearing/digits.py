"""Number words and how they are written in digits, for reading a text that may hold either. English.

Source: common English usage; checked against num2words in the tests.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_UNITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TEENS = (
    "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_ORDINALS = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh",
    "twelfth", "thirteenth", "fourteenth", "fifteenth", "sixteenth", "seventeenth", "eighteenth", "nineteenth",
)  # fmt: skip


def _suffix(number: int) -> str:
    return "th" if 10 < number < 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")


DIGITS: Mapping[str, str] = MappingProxyType(
    {word: str(digit) for digit, word in enumerate(_UNITS)} | {"oh": "0", "o": "0", "nought": "0", "niner": "9"}
)
"""Words of one digit."""

TEENS: Mapping[str, str] = MappingProxyType({word: str(number) for number, word in enumerate(_TEENS, 10)})
"""Ten to nineteen."""

TENS: Mapping[str, str] = MappingProxyType({word: str(digit) for digit, word in enumerate(_TENS, 2)})
"""The first digit of twenty to ninety."""

SCALES: Mapping[str, str] = MappingProxyType({"hundred": "two", "thousand": "three"})
"""How many further digits the word asks for."""

POINTS: Mapping[str, str] = MappingProxyType({"point": ".", "decimal": ".", "dot": "."})
SIGNS: Mapping[str, str] = MappingProxyType({"minus": "-", "negative": "-", "percent": "%"})
ORDINALS: Mapping[str, str] = MappingProxyType(
    {word: f"{number}{_suffix(number)}" for number, word in enumerate(_ORDINALS, 1)}
    | {word[:-1] + "ieth": f"{digit}0th" for digit, word in enumerate(_TENS, 2)}
)
"""First to nineteenth and the tens; `twenty first` comes of a ten and one of these."""


def is_number(words: str) -> bool:
    """Whether a number is said among these words."""
    return any(word in DIGITS or word in TEENS or word in TENS for word in words.split())

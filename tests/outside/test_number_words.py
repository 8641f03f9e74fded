"""Number words against num2words (LGPL, a reference library) and ICAO radiotelephony."""

from decimal import Decimal

import pytest
from num2words import num2words

from assistant.language.numbers import parse_number, say_whole


@pytest.mark.parametrize("value", [*range(0, 2_000), 2_500, 9_999, 20_000, 123_456, 999_999])
def test_whole_numbers_as_num2words_writes_them(value):
    """Source: num2words, English cardinals; hyphens and commas are not spoken, "and" is American-optional."""
    words = num2words(value).replace("-", " ").replace(",", "")
    assert parse_number(words.split()) == value
    assert say_whole(value) == words.replace(" and ", " ")


@pytest.mark.parametrize("value", ["12.4", "0.05", "9.6", "-7.25", "155.25", "14.07"])
def test_decimals_as_num2words_writes_them(value):
    """Source: num2words, English decimals (it drops the sign of values between -1 and 0, so none is here)."""
    words = num2words(Decimal(value)).replace("-", " ").replace(",", "")
    assert parse_number(words.split()) == Decimal(value)


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("one two decimal fower fife", "12.45"),
        ("niner decimal six", "9.6"),
        ("tree", "3"),
        ("ait", "8"),
        ("one zero zero", "100"),
        ("two thousand", "2000"),
        ("one hundred", "100"),
    ],
)
def test_digits_as_radiotelephony_says_them(words, value):
    """Source: ICAO, transmission of numbers (online.aeps.aero, transmission-of-numbers-part-1): digits one by one."""
    assert parse_number(words.split()) == Decimal(value)

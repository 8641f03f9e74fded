"""VINs that are invented here."""

from __future__ import annotations

import pytest

from assistant.record.vin import VinCheck, check_vin, tidy_vin
from tests.record.sample_job import VIN


def test_the_demo_number_is_right() -> None:
    """The number of the invented car has the right check digit."""
    assert check_vin(VIN) is VinCheck.RIGHT


def test_a_wrong_digit_is_wrong_where_the_rule_binds() -> None:
    """A number for North America with another check digit is wrong."""
    assert check_vin(VIN[:8] + ("1" if VIN[8] != "1" else "2") + VIN[9:]) is VinCheck.WRONG


def test_elsewhere_the_digit_need_not_fit() -> None:
    """A number from another region may hold anything in position 9."""
    assert check_vin("ZZZDM42HZXX000042") is VinCheck.NOT_APPLICABLE


@pytest.mark.parametrize("words", ["", "1ZZDM42H", "1ZZDM42HOXX000042", "IZZDM42H7XX000042", "1ZZDM42H7XX00004\u0662"])
def test_what_is_no_vin(words: str) -> None:
    """Too short, too long, or with a character that no VIN has."""
    assert check_vin(words) is VinCheck.NO_VIN


def test_a_vin_is_tidied() -> None:
    """Blanks, hyphens and small letters are how people read it out."""
    assert tidy_vin("1zz dm42h-7xx 000042") == "1ZZDM42H7XX000042"

"""What a fact says is read as far as it says it, and what it says crookedly is left out."""

from __future__ import annotations

import math

import pytest

from assistant.facts import BurstEnded, FindingReached, PlanChanged, ReadingLogged, read_legibly
from assistant.facts.values import text


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("four", "four"), (" ", None), (["coil", "plug"], "coil, plug"), ([], None), ([1, "x"], None), (4, "4"),
        (12.4, "12.4"), (True, None), (float("nan"), None), (10**400, None), (None, None), ({"x": 1}, None),
    ],
)  # fmt: skip
def test_words_are_words_lists_of_them_or_numbers(value: object, said: str | None) -> None:
    """Anything else says nothing."""
    assert text(value) == said
    assert read_legibly(FindingReached, {"fault": value, "say": value}).fault == said
    assert read_legibly(FindingReached, {"fault": value, "say": value}).say == (said or "")


@pytest.mark.parametrize(
    ("value", "said"),
    [(4, 4.0), (0, 0.0), (-1.5, -1.5), (True, None), ("4", None), (float("inf"), None), (10**400, None)],
)
def test_a_number_is_a_finite_one(value: object, said: float | None) -> None:
    """Yes and no are none, and neither are digits in words; where one must stand, none is written as no number."""
    assert read_legibly(BurstEnded, {"rpm": value}).rpm == said
    must = read_legibly(ReadingLogged, {"value": value}).value
    assert math.isnan(must) if said is None else must == said


def test_yes_and_no_are_values() -> None:
    """Anything else says neither."""
    odd = (True, False, "yes", 1, None)
    assert [read_legibly(BurstEnded, {"caught": value}).caught for value in odd] == [True, False, None, None, None]
    assert [read_legibly(PlanChanged, {"back": value}).back for value in odd] == [True, False, False, False, False]


def test_lists_and_tables_are_read_or_empty() -> None:
    """One word is a list of one; what is no number in a table of numbers is not in it."""
    odd = ("x", " ", ["x", 1], [], None)
    assert [read_legibly(FindingReached, {"proved": value}).proved for value in odd] == [("x",), (), ("x", "1"), (), ()]
    tables = ({"x": 1, "y": "two"}, 1, None)
    assert [read_legibly(PlanChanged, {"odds": value}).odds for value in tables] == [{"x": 1.0}, None, None]

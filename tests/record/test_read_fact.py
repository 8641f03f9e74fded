"""What a fact says is read as far as it says it, and what it says crookedly is left out."""

from __future__ import annotations

import pytest

from assistant.record.read_fact import flag, mapping, number, text, words


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("four", "four"), (" ", None), (["coil", "plug"], "coil, plug"), ([], None), ([1, "x"], None), (4, "4"),
        (12.4, "12.4"), (True, None), (float("nan"), None), (10**400, None), (None, None), ({"x": 1}, None),
    ],
)  # fmt: skip
def test_words_are_words_lists_of_them_or_numbers(value: object, said: str | None) -> None:
    """Anything else says nothing."""
    assert text({"a": value}, "a") == said and text({}, "a") is None


@pytest.mark.parametrize(
    ("value", "said"),
    [(4, 4.0), (0, 0.0), (-1.5, -1.5), (True, None), ("4", None), (float("inf"), None), (10**400, None)],
)
def test_a_number_is_a_finite_one(value: object, said: float | None) -> None:
    """Yes and no are none, and neither are digits in words."""
    assert number({"a": value}, "a") == said and number({}, "a") is None


def test_yes_and_no_are_values() -> None:
    """Anything else says neither."""
    assert [flag({"a": value}, "a") for value in (True, False, "yes", 1, None)] == [True, False, None, None, None]
    assert flag({}, "a") is None


def test_lists_and_mappings_are_read_or_empty() -> None:
    """One word is a list of one."""
    assert [words({"a": value}, "a") for value in ("x", " ", ["x", 1], [], None)] == [("x",), (), ("x", "1"), (), ()]
    assert [mapping({"a": value}, "a") for value in ({"x": 1}, 1, None)] == [{"x": 1}, {}, {}]

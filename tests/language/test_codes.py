"""Fault codes by voice."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.language.codes import parse_code, say_code


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("p zero three three five", "P0335"),
        ("papa oh three thirty five", "P0335"),
        ("p0335", "P0335"),
        ("u zero one zero zero", "U0100"),
        ("p zero one seventy one", "P0171"),
        ("bravo one echo two alpha", "B1E2A"),
    ],
)
def test_understands_a_code(words, code):
    """Letters by name or spelling word, digits one by one or in pairs, and typed codes are understood."""
    assert parse_code(words.split()) == code


@pytest.mark.parametrize(
    "words",
    ["p", "p zero three", "p nine three three five", "x zero one two three", "p zero three three five five", ""],
)
def test_refuses_what_is_no_code(words):
    """Too short, too long, or a letter and digit that no code has."""
    assert parse_code(words.split()) is None


@given(st.from_regex(r"[PBCU][0-3][0-9A-F]{3}", fullmatch=True))
def test_every_code_that_we_speak_comes_back(code):
    """A code read back is understood as itself."""
    assert parse_code(say_code(code).split()) == code

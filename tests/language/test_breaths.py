"""Texts are cut where a speaker would breathe, and nothing of them is lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.language.breaths import LONGEST, breaths


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("", ()),
        ("  ", ()),
        ("No spark.", ("No spark.",)),
        ("Warning. Fuel can burn. Say: no flame near.", ("Warning.", "Fuel can burn.", "Say: no flame near.")),
        ("Is it 12.4 volts? Then go on!", ("Is it 12.4 volts?", "Then go on!")),
        ('Say "stop." Then wait.', ('Say "stop."', "Then wait.")),
        ("one line\nanother", ("one line", "another")),
        ("approx. five volts", ("approx. five volts",)),
    ],
)
def test_a_text_is_cut_at_the_ends_of_its_sentences(text: str, pieces: tuple[str, ...]) -> None:
    """Not at the point of a number, nor at one that a small letter follows."""
    assert breaths(text) == pieces


def test_a_long_sentence_is_cut_at_a_clause_then_between_words_then_anywhere() -> None:
    """Each piece as long as may be."""
    clause = "the pump hums and the relay clicks and the lamp stays dark and the gauge stands still, "
    assert breaths(clause * 3) == (f"{clause}{clause.strip()}", clause.strip())
    assert {len(piece) for piece in breaths("word " * 100)} <= {199, 99}
    assert [len(piece) for piece in breaths("x" * 450)] == [200, 200, 50]


@given(st.text(max_size=2_000))
def test_no_piece_is_too_long_and_nothing_is_lost(text: str) -> None:
    """Whatever the text: the pieces together are it, blanks aside."""
    pieces = breaths(text)
    assert all(0 < len(piece) <= LONGEST for piece in pieces)
    assert "".join("".join(pieces).split()) == "".join(text.split())

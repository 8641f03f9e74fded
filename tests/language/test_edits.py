"""How far words are from those that were said."""

import pytest

from assistant.language.edits import words_wrong


@pytest.mark.parametrize(
    ("said", "kept", "wrong"),
    [
        ("it cranks all day", "It cranks, all day.", 0),
        ("it cranks all day", "it cranks day", 1),
        ("it cranks all day", "it just cranks all day", 1),
        ("it cranks all day", "it clanks all day", 1),
        ("it cranks all day", "", 4),
        ("", "it cranks", 2),
        ("one two three", "three one two", 2),
    ],
)
def test_the_fewest_changes_count(said: str, kept: str, wrong: int) -> None:
    """A word changed, left out or added is one; case and marks are none."""
    assert words_wrong(said, kept) == wrong

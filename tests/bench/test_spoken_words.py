"""What the network writes of recorded speech, as words."""

from __future__ import annotations

import pytest

from assistant.bench.spoken_words import spoken_words


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Press 1, then press pound.", "press one then press pound"),
        ("I'm afraid not!", "i'm afraid not"),
        ("Page 17.", "page 17"),
        ("", ""),
    ],
)
def test_text_becomes_words(text: str, words: str) -> None:
    """Marks go, single digits are words, longer numbers stay."""
    assert spoken_words(text) == words.split()

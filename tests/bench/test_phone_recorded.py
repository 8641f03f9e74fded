"""What the network writes of recorded speech, as words to learn from."""

from __future__ import annotations

import pytest

from assistant.bench.phone_recorded import spoken_words


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
    """Marks go, single digits are words, longer numbers stay, so that they are left out later."""
    assert spoken_words(text) == words.split()

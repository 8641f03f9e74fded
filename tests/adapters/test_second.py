"""What is also written without the grammar while an answer is waited for."""

from __future__ import annotations

import pytest

from assistant.adapters.recogniser_embedded.second import wants_second
from assistant.language.grammars import READING_TAG
from assistant.language.model import Control, Heard


@pytest.mark.parametrize(
    ("words", "tags", "sure", "wanted"),
    [
        (None, (), 0.0, True),
        ("lamp is out", ("out",), 0.99, True),
        ("lamp is out", ("out",), 0.9999, False),
        ("skip", (Control.SKIP.value,), 0.85, True),
        ("skip", (Control.SKIP.value,), 0.95, False),
        ("stop", (Control.STOP.value,), 0.6, False),
        ("twelve point four", (READING_TAG,), 0.6, False),
    ],
)
def test_a_second_is_asked_for_what_is_not_sure(
    words: str | None, tags: tuple[str, ...], *, sure: float, wanted: bool
) -> None:
    """Of refused words and doubtful answers and commands; a stop waits for nothing, a number is written as digits."""
    assert wants_second(Heard(words=words, confidence=sure), tags) is wanted

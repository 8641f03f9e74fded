"""Of two things named with a "no" or a "not" between them."""

from __future__ import annotations

import pytest

from assistant.language.commands import ALWAYS
from assistant.language.model import Expected, GiveResult, Heard, Unclear
from assistant.language.understand import understand

FUEL = Expected(controls=ALWAYS, results={"petrol": ("petrol",), "diesel": ("diesel",), "gas": ("gas",)})


@pytest.mark.parametrize("words", ["diesel no petrol", "petrol no diesel", "gas no petrol"])
def test_where_it_may_be_corrected_or_denied_it_is_asked_which(words: str) -> None:
    """Without its pauses nobody can tell, and petrol is the one that lets starting fluid be sprayed."""
    meant = understand(Heard(words=words, confidence=1.0, free_text=words), FUEL)
    first, _, last = words.split()
    assert isinstance(meant, Unclear)
    assert meant.detail == f"I heard {first} or {last}. Say which."
    assert meant.offer is None


def test_what_is_said_not_to_be_is_not_taken() -> None:
    """It waits for its yes all the same."""
    meant = understand(Heard(words="petrol not diesel", confidence=1.0, free_text="petrol not diesel"), FUEL)
    assert meant == GiveResult(result="petrol", words="petrol", guessed=True)

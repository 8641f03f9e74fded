"""The bench of dictation counts what it says it counts."""

from __future__ import annotations

from assistant.bench.dictation import COMPLAINTS, Written, figures


def written(said: str, kept: str, trust: float) -> Written:
    """One text with the trust that it was given."""
    return Written(said=said, kept=kept, trust=trust, took_ms=8.0)


def test_words_and_trust_are_counted() -> None:
    """Wrong words over words said; promised and right by group."""
    found = figures([written("it will not start", "It will not start.", 0.95), written("no fuel", "new fuel", 0.5)])
    assert (found["words"], found["word_error"], found["word_for_word"]) == (6, round(1 / 6, 4), 1)
    assert found["by_trust"] == [
        {"from": 0.0, "texts": 1, "promised": 0.5, "right": 0.5},
        {"from": 0.9, "texts": 1, "promised": 0.95, "right": 1.0},
    ]


def test_complaints_are_forty_and_each_its_own() -> None:
    """The figure in .pictures/measures.md is over these."""
    assert len(set(COMPLAINTS)) == 40

"""Recorded people, a few digits at a time."""

from __future__ import annotations

import numpy as np

from assistant.bench.recorded import Take
from assistant.bench.recorded_speech import GAPS_S, confirming, digit_strings
from assistant.grammar.automaton import automaton_of
from assistant.language.model import Expected
from assistant.ports import SAMPLE_RATE_HZ


def test_strings_of_digits_hold_what_they_say_and_gaps_between() -> None:
    """Two to four digits, each as long as its recording; the gaps are within their bounds."""
    takes = {digit: [Take(word=str(digit), speaker="a", pcm=np.full(1_600, 900, np.int16))] for digit in range(10)}
    for sound, words in digit_strings(takes, count=40, seed=2):
        said = words.split()
        assert 2 <= len(said) <= 4
        silent = int((sound == 0).sum())
        assert len(sound) - silent == 1_600 * len(said)
        least, most = (int(gap * SAMPLE_RATE_HZ) * (len(said) - 1) for gap in GAPS_S)
        assert least <= silent <= most


def test_at_a_read_back_yes_no_and_the_results_are_legal() -> None:
    """And no word that only another step knows."""
    legal = automaton_of(confirming(Expected(controls=frozenset(), results={"dark": ("the lamp is dark",)})))
    assert all(legal.accepts(words.split()) for words in ("yes", "no", "stop", "the lamp is dark"))
    assert not any(legal.accepts(words.split()) for words in ("go", "left", "up"))

"""Recorded people, a few digits at a time."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.recogniser_embedded.look import Look
from assistant.bench.recorded import Take
from assistant.bench.recorded_speech import GAPS_S, acted_upon, confirmed, digit_strings, where_lost
from assistant.grammar.automaton import automaton_of
from assistant.language.grammars import grammar_of
from assistant.language.model import Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ

READ_BACK = Expected(controls=frozenset(), results={"dark": ("the lamp is dark",)})


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
    legal = automaton_of(grammar_of(confirmed(READ_BACK)))
    assert all(legal.accepts(words.split()) for words in ("yes", "no", "stop", "the lamp is dark"))
    assert not any(legal.accepts(words.split()) for words in ("go", "left", "up"))


@pytest.mark.parametrize(
    ("heard", "acts"),
    [
        (Heard(words="yes", confidence=0.9, free_text="Yes."), True),
        (Heard(words="go back", confidence=0.9, free_text="Go.", engine="embedded"), False),
        (Heard(words=None, confidence=0.1, free_text="Up."), False),
        (Heard(words=None, confidence=0.0), False),
    ],
)
def test_a_session_acts_only_on_what_free_writing_bears_out(heard: Heard, acts: bool) -> None:
    """What the ear alone took is not yet obeyed."""
    assert acted_upon(heard, confirmed(READ_BACK)) is acts


def look(began_s: float, ended_s: float, best: str | None, *, acts: bool = False, sure: bool = True) -> Look:
    """At a word that stands between 1.0 and 1.3 s."""
    return Look(began_s=began_s, ended_s=ended_s, best=best, confidence=0.5, acts=acts, sure=sure)


@pytest.mark.parametrize(
    ("looks", "cause"),
    [
        ([], "gate shut"),
        ([look(-0.2, 0.9, "no")], "gate shut"),
        ([look(0.7, 1.5, "yes", acts=True)], "answered too late"),
        ([look(0.7, 1.5, "yes", acts=True, sure=False)], "nobody surely spoke"),
        ([look(1.1, 1.5, "no")], "onset cut"),
        ([look(0.7, 1.2, "no")], "ended early"),
        ([look(0.7, 1.5, "yes")], "not trusted"),
        ([look(-0.2, 1.5, "no")], "a rival"),
        ([look(0.7, 1.5, None)], "nothing written"),
    ],
)
def test_where_a_word_was_lost_is_told(looks: list[Look], cause: str) -> None:
    """By what was made of the sound around it."""
    assert where_lost(looks, lambda best: best == "yes", 1.0, 1.3) == cause

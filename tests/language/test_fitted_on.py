"""The numbers that trust and second opinions were fitted on are still the same.

Weights are worth only what their numbers mean. Whoever changes one on purpose fits and measures anew, and writes these
lists anew.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.language.commands import Control
from assistant.language.grammars import grammar_of
from assistant.language.guess import NONE, get_ready, guess, said_for, shares_of
from assistant.procedure.model import Quantity
from tests.language.test_guess import LAMP

TALKED = replace(LAMP, elsewhere=("pass me the ten mil", "where is my coffee", "it is cold today"))
ASKED = replace(
    LAMP,
    controls=frozenset({Control.STOP, Control.GO_BACK}),
    questions=True,
    supposed={"a=b": ("there is no spark",)},
    acknowledge=("area is clear",),
    done=("bolt is out",),
    quantity=Quantity.VOLTAGE,
    unit="V",
)


@pytest.mark.parametrize(
    ("words", "out", "of_talk", "like"),
    [
        ("the lamp went dark", 0.9646, 0.0099, 1.0),
        ("bright as day", 0.2965, 0.0541, 0.4375),
        ("no light there", 0.9059, 0.0174, 0.5586),
        ("it is cold", 0.1972, 0.8810, 0.3695),
        ("lamp", 0.5700, 0.0129, 0.4574),
        ("xqz", 0.2910, 0.0636, 0.0),
        ("dark dark dark as night", 0.9868, 0.0058, 0.8642),
    ],
)
def test_what_words_speak_for(words: str, out: float, of_talk: float, like: float) -> None:
    """Odds of each result, of none of them where talk is known, and how like a known answer they are."""
    get_ready(TALKED)
    shares, likeness = shares_of(words, LAMP)
    assert shares == pytest.approx({"out": out, "lit": 1.0 - out}, abs=1e-3)
    assert likeness == pytest.approx(like, abs=1e-3)
    assert shares_of(words, TALKED)[0][NONE] == pytest.approx(of_talk, abs=1e-3)
    found = guess(words, TALKED)
    assert found is not None and (found.ahead < 0) == (of_talk > 0.5)
    likeliest = guess(words, LAMP)
    assert likeliest is not None and likeliest.result == ("out" if out > 0.5 else "lit")
    assert likeliest.ahead == pytest.approx(abs(2 * out - 1), abs=2e-3)


def test_what_is_said_for_the_results_and_where_nothing_can_be_learnt() -> None:
    """Phrases first; of one result, or of phrases alone, nothing is guessed."""
    known = ("lamp is out", "lamp is lit", "dark as night", "no light at all", "bright red", "it keeps on glowing")
    assert said_for(LAMP) == known
    for nothing in (replace(LAMP, results={"out": ("lamp is out",)}), replace(LAMP, answers={}, examples={})):
        get_ready(nothing)
        assert guess("dark as night", nothing) is None and shares_of("dark as night", nothing) == ({}, 0.0)
    assert guess("", LAMP) is None and shares_of("", LAMP) == ({}, 0.0)


@pytest.mark.parametrize(
    ("words", "tag", "likelihood"),
    [
        ("lamp is out", "out", -4.3242),
        ("the lamp went out", "out", -7.3968),
        ("dark as night", "out", -5.5281),
        ("uh lamp is lit please", "lit", -20.1506),
        ("stop", "stop", -4.3242),
        ("stop please", "stop", -12.1462),
        ("yes", "lit", -7.8023),
        ("twelve point four volts", "reading", -1.3244),
        ("twelve", "reading", -1.3244),
        ("area is clear", "acknowledge", -4.3202),
        ("bolt is out", "done", -4.3202),
        ("what if there is no spark", "what if", -2.0176),
        ("i found there is no spark", "i found", -2.0176),
        ("why", "why", -4.3202),
        ("go back", "go back", -4.3202),
    ],
)
def test_how_likely_the_grammar_has_a_sentence(words: str, tag: str, likelihood: float) -> None:
    """In natural logarithms, and whose it is."""
    automaton = automaton_of(grammar_of(ASKED))
    assert automaton.tags(words.split()) == (tag,)
    assert automaton.likelihood(words.split()) == pytest.approx(likelihood, abs=1e-3)

"""What the hearing benches measure on, and how they count."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binomtest, poisson

from assistant.bench.accuracy import kind_of, poisson_upper, rates, wilson
from assistant.bench.people import ORDERS, composed_orders
from assistant.bench.readings import any_reading
from assistant.bench.sets import Ask, asks_of
from assistant.bench.strangers import printed, sentences
from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.language.model import GiveReading, Heard
from assistant.language.understand import understand
from assistant.wiring import load_library


@pytest.fixture(scope="module")
def asks() -> list[Ask]:
    """Every moment of a no-start job."""
    return asks_of(load_library("no-start")[1])


@pytest.mark.parametrize(("hits", "total"), [(0, 10), (3, 7), (97, 100), (240, 240)])
def test_intervals_are_those_of_the_library(hits: int, total: int) -> None:
    """Outside check: scipy's Wilson interval."""
    interval = binomtest(hits, total).proportion_ci(0.95, method="wilson")
    assert wilson(hits, total) == pytest.approx((interval.low, interval.high), abs=1e-4)


@pytest.mark.parametrize("count", [0, 1, 7])
def test_so_few_false_accepts_would_be_seen_one_time_in_twenty_at_the_bound(count: int) -> None:
    """Outside check: the definition of the bound, by the Poisson distribution itself."""
    assert poisson.cdf(count, poisson_upper(count)) == pytest.approx(0.05)


def test_kinds_are_told_apart() -> None:
    """Only an accepted sentence that is word for word the one said is right."""
    assert [kind_of(*each) for each in ((None, "no", False), ("no", "no", True), ("note", "no", False))] == [
        "refused",
        "asked-right",
        "wrong",
    ]
    counted = rates(["right"] * 3 + ["wrong"])
    assert (counted["right"], counted["wrong"], counted["count"]) == (0.75, 0.25, 4)


def test_every_phrase_of_a_moment_is_legal_there(asks: list[Ask]) -> None:
    """Answers and commands are what the live grammar of that moment accepts; cautions and gates are among them."""
    for ask in asks[::7]:
        automaton = automaton_of(ask.grammar)
        assert all(automaton.accepts(words.split()) for words in (*ask.answers, *ask.others)), ask.step
    assert any(ask.expected.acknowledge for ask in asks)


def test_a_reading_is_possible_and_means_its_value(asks: list[Ask]) -> None:
    """Each form drawn is understood as the value drawn."""
    random = np.random.default_rng(1)
    asked = [ask for ask in asks if ask.expected.quantity]
    assert asked
    for ask in asked * 20:
        value, words = any_reading(ask, random)
        meant = understand(Heard(words=words, confidence=1.0), ask.expected)
        assert isinstance(meant, GiveReading), words
        assert meant.value == pytest.approx(value)


def test_composed_orders_are_of_their_grammar() -> None:
    """Skips where the recorded words are not installed."""
    orders = list(composed_orders(40, seed=3))
    if not orders:
        pytest.skip("asterisk-core-sounds-en-g722 or the G722 wheel is not installed")
    automaton = automaton_of(read_jsgf(ORDERS))
    assert all(automaton.accepts(words.split()) for _, words in orders)
    assert all(len(sound) > 16_000 for sound, _ in orders)


def test_there_is_prose_enough_for_a_stranger_to_talk_for_an_hour() -> None:
    """At 150 words a minute."""
    assert sum(len(text.split()) for text in sentences(printed())) > 3_000

"""Spoken numbers."""

import random
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.grammar.automaton import automaton_of
from assistant.grammar.model import Grammar
from assistant.language.number_grammar import number_rules
from assistant.language.numbers import parse_number, say_number, say_whole, ways_to_say


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("twelve point four", "12.4"),
        ("one two point four", "12.4"),
        ("twelve point forty five", "12.45"),
        ("one two decimal fower fife", "12.45"),
        ("nine and a half", "9.5"),
        ("one and three quarters", "1.75"),
        ("a half", "0.5"),
        ("a hundred fifty five", "155"),
        ("a hundred and fifty five", "155"),
        ("one fifty five", "155"),
        ("one five five", "155"),
        ("two oh five", "205"),
        ("fifteen hundred", "1500"),
        ("two thousand five hundred", "2500"),
        ("twenty thousand", "20000"),
        ("niner decimal six", "9.6"),
        ("point five", "0.5"),
        ("oh point oh five", "0.05"),
        ("oh", "0"),
        ("negative twelve", "-12"),
        ("minus point five", "-0.5"),
        ("twelve point zero", "12.0"),
    ],
)
def test_says_a_value(words, value):
    """Each form that technicians use for a number gives its value."""
    assert parse_number(words.split()) == Decimal(value)


@pytest.mark.parametrize(
    "words",
    ["", "point", "twelve point", "one point two point three", "a", "hundred", "twenty eleven", "ten two", "minus",
     "twelve and", "and a half", "spark", "zero thousand", "five hundred hundred", "minus minus five"],
)  # fmt: skip
def test_refuses_what_is_no_number(words):
    """Words that are not one whole number give none."""
    assert parse_number(words.split()) is None


@given(st.integers(0, 999_999_999))
def test_whole_numbers_come_back(value):
    """Every whole number that we speak is understood as itself."""
    assert parse_number(say_whole(value).split()) == value


@given(st.decimals(-20_000, 20_000, places=3))
def test_decimals_come_back(value):
    """Every decimal that we speak is understood as itself."""
    assert parse_number(say_number(value).split()) == value


@given(st.decimals(0, 9_999, places=2))
def test_every_accepted_form_means_the_value_and_is_in_the_grammar(value):
    """Each way to say a value means it and is let through by the grammar that a recogniser gets."""
    forms = ways_to_say(value)
    assert forms[0] == say_number(value)
    for form in forms:
        assert parse_number(form.split()) == value
        assert AUTOMATON.accepts(form.split()), form


def test_every_sentence_of_the_grammar_is_understood():
    """Random walks through the number grammar always end in words that have a value."""
    chance = random.Random(7)
    for _ in range(3_000):
        words, state = [], AUTOMATON.start
        while not AUTOMATON.may_end(state) or (chance.random() < 0.7 and AUTOMATON.next_words(state)):
            word, state = chance.choice(AUTOMATON.next_words(state))
            words.append(word)
        assert parse_number(words) is not None, words


def test_a_value_too_large_to_say_is_an_error():
    """Numbers beyond the trade are refused, not mumbled."""
    with pytest.raises(ValueError, match="not between"):
        say_whole(1_000_000_000)


AUTOMATON = automaton_of(Grammar(rules=number_rules(), starts=("number",)))

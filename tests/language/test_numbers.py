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


def test_every_word_for_a_number_and_a_part_has_its_value():
    """From memory, as any speaker counts; "oh" and "niner" are said over the radio."""
    tens = "twenty thirty forty fifty sixty seventy eighty ninety"
    ones = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen"
    for value, word in enumerate([*ones.split(), "seventeen", "eighteen", "nineteen"]):
        assert (parse_number([word]), say_whole(value)) == (value, word)
    for value, word in enumerate(tens.split(), start=2):
        assert (parse_number([word]), say_whole(10 * value)) == (10 * value, word)
    assert [parse_number([word]) for word in ("oh", "niner", "tree", "fower", "fife", "ait")] == [0, 9, 3, 4, 5, 8]
    parts = {"a half": "0.5", "one half": "0.5", "half": "0.5", "a quarter": "0.25", "one quarter": "0.25"}
    for words, value in (parts | {"three quarters": "0.75", "two and one quarter": "2.25"}).items():
        assert parse_number(words.split()) == Decimal(value)
    assert parse_number(["two", "and", "half"]) is None


@pytest.mark.parametrize(
    ("value", "ways"),
    [
        ("9", "nine, niner"),
        ("10", "ten, one zero"),
        ("101", "one hundred one, one zero one, a hundred one, one hundred and one, a hundred and one"),
        ("110", "one hundred ten, one one zero, a hundred ten, one ten, one hundred and ten, a hundred and ten"),
        ("1100", "one thousand one hundred, one one zero zero, a thousand one hundred, eleven hundred"),
        ("2000", "two thousand, two zero zero zero"),
        ("9900", "nine thousand nine hundred, nine nine zero zero, ninety nine hundred, niner thousand niner hundred, "
                 "niner niner zero zero"),
        ("0.5", "zero point five, zero decimal five, point five, decimal five, a half"),
        ("-2.25", "minus two point two five, negative two point two five, minus two point twenty five, "
                  "negative two point twenty five, minus two decimal two five, negative two decimal two five, "
                  "minus two decimal twenty five, negative two decimal twenty five, minus two and a quarter, "
                  "negative two and a quarter"),
        ("0.05", "zero point zero five, zero point oh five, zero decimal zero five, zero decimal oh five, "
                 "point zero five, point oh five, decimal zero five, decimal oh five"),
        ("-0.0", "zero"),
    ],
)  # fmt: skip
def test_these_are_all_the_ways_to_say_a_value(value, ways):
    """The one that we speak first. Our own choice: what the number grammar lets through."""
    assert ", ".join(ways_to_say(Decimal(value))) == ways


@pytest.mark.parametrize(
    "words",
    ["", "point", "twelve point", "one point two point three", "a", "hundred", "twenty eleven", "ten two", "minus",
     "twelve and", "and a half", "spark", "zero thousand", "five hundred hundred", "minus minus five",
     "zero hundred", "two thousand fifteen hundred", "two million thousand", "a hundred hundred", "oh hundred five"],
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

"""The narrow number grammar lets through what a meter can show, in every form, and nothing beyond it."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from assistant.grammar.automaton import Automaton, automaton_of
from assistant.grammar.model import Grammar
from assistant.language.grammars import grammar_of
from assistant.language.model import Expected
from assistant.language.number_grammar import ANY, Span, number_rules
from assistant.language.numbers import parse_number, ways_to_say
from assistant.language.quantities import possible_range, shown_decimals, spoken_span, units_of
from assistant.language.reading import ways_to_say_reading
from assistant.procedure.model import Quantity

WHOLE = Span(most=1, most_with_decimals=0, decimals=1, signed=False)


@cache
def _automaton(span: Span) -> Automaton:
    return automaton_of(Grammar(rules=number_rules(span), starts=("number",)))


@given(st.one_of(st.integers(1, 120), st.integers(100, 2_600), st.integers(1, 90_000)), st.data())
def test_a_whole_number_is_let_through_up_to_the_greatest(most: int, data: st.DataObject) -> None:
    """In every form up to it, in none above it."""
    automaton = _automaton(replace(WHOLE, most=most))
    value = data.draw(st.one_of(st.integers(0, most), st.integers(most + 1, min(99_999, 2 * most + 20))))
    for form in ways_to_say(value):
        assert automaton.accepts(form.split()) == (value <= most), (form, most)


@pytest.mark.parametrize(
    "most", [1, 9, 10, 14, 19, 20, 45, 99, 100, 105, 110, 155, 199, 200, 250, 909, 910, 998, 999, 1_000, 1_050, 1_500]
)
def test_around_the_greatest_each_number_is_let_through_or_not(most: int) -> None:
    """All of the last two hundred below it and the forty above it, in every form; and nought to a hundred."""
    automaton = _automaton(replace(WHOLE, most=most))
    for value in {*range(min(most, 100)), *range(max(0, most - 200), most + 40)}:
        for form in ways_to_say(value):
            assert automaton.accepts(form.split()) == (value <= most), (form, most)


@pytest.mark.parametrize("most", [2_000, 9_999, 10_000, 10_700, 19_300, 20_000, 21_400, 90_000])
def test_around_the_greatest_in_thousands_each_number_is_let_through_or_not(most: int) -> None:
    """Round ones and their neighbours, in every form."""
    automaton = _automaton(replace(WHOLE, most=most))
    near = {most + step for step in (-1_000, -101, -100, -1, 0, 1, 99, 100, 101, 1_000)}
    for value in near | {1, 10, 20, 99, 100, 999, 1_000, 1_100, most // 2, most // 1_000}:
        for form in ways_to_say(value):
            assert automaton.accepts(form.split()) == (value <= most), (form, most)


@pytest.mark.parametrize("lang", ["en", "en_GB"])
def test_whole_numbers_are_let_through_as_num2words_says_them(lang: str) -> None:
    """Outside check: num2words (LGPL, PyPI). "Two thousand and three" was heard as "two hundred and three"."""
    automaton = _automaton(replace(WHOLE, most=12_345))
    for value in (*range(95, 125), *range(995, 1_125), 2_003, 2_050, *range(9_990, 10_120), 12_003, 12_099, 12_345):
        words = num2words(value, lang=lang).replace("-", " ").replace(",", "").split()
        assert automaton.accepts(words) and parse_number(words) == value, words


@pytest.mark.parametrize("most", [9, 45, 99])
def test_nothing_but_numbers_up_to_the_greatest_is_let_through(most: int) -> None:
    """Every sentence of the small grammars, one after the other."""
    automaton = _automaton(replace(WHOLE, most=most))
    said, waiting = set(), [((), automaton.start)]
    for words, state in waiting:  # grows while it is walked
        said |= {" ".join(words)} if automaton.may_end(state) else set()
        waiting += [((*words, word), to) for word, to in automaton.next_words(state)]
    values = {words: parse_number(words.split()) for words in said}
    assert all(value is not None and value < most + 1 for value in values.values()), values
    assert {form for value in range(most + 1) for form in ways_to_say(value)} - {"oh"} <= said


def test_the_greatest_in_the_nine_hundreds_may_be_said_with_niner() -> None:
    """Found by chance: "niner ten" was no way to say 910 where 910 is the most."""
    assert _automaton(replace(WHOLE, most=910)).accepts(["niner", "ten"])


def _random_sentence(automaton: Automaton, chance: random.Random) -> list[str]:
    words, state = [], automaton.start
    while not automaton.may_end(state) or (chance.random() < 0.7 and automaton.next_words(state)):
        word, state = chance.choice(automaton.next_words(state))
        words.append(word)
    return words


@pytest.mark.parametrize("quantity", Quantity)
def test_what_is_let_through_is_a_number_that_the_quantity_can_be(quantity: Quantity) -> None:
    """Random walks: each has a value, its whole part in the range, and no more digits than a meter shows."""
    chance = random.Random(7)
    for unit in units_of(quantity):
        span = spoken_span(quantity, unit.symbol)
        for _ in range(400):
            words = _random_sentence(_automaton(span), chance)
            value = parse_number(words)
            assert value is not None, words
            assert abs(int(value)) <= span.most, words
            assert -value.as_tuple().exponent <= max(span.decimals, 2), words  # quarters have two


@given(st.data())
def test_every_form_of_a_reading_may_be_said(data: st.DataObject) -> None:
    """With each of its units and, in the unit asked, without."""
    quantity = data.draw(st.sampled_from(Quantity))
    unit = data.draw(st.sampled_from(units_of(quantity))).symbol
    low, high = possible_range(quantity, unit)
    most = spoken_span(quantity, unit).most
    value = data.draw(st.floats(max(low, -most), min(high, most)))
    value = round(value, shown_decimals(quantity, unit, value))
    automaton = _grammar(quantity, unit)
    for form in ways_to_say_reading(value, quantity, unit):
        assert automaton.accepts(form.split()), form


@cache
def _grammar(quantity: Quantity, unit: str) -> Automaton:
    return automaton_of(grammar_of(Expected(controls=frozenset(), quantity=quantity, unit=unit)))


@pytest.mark.parametrize(
    "words",
    ["three nine point zero four", "forty volts", "twelve point four five six", "minus one thousand", "two hundred"],
)
def test_a_voltage_that_cannot_be_is_not_in_the_grammar(words: str) -> None:
    """A car has no forty volts; nine point eight oh one is more than a meter shows."""
    assert not _grammar(Quantity.VOLTAGE, "V").accepts(words.split())


def test_where_nothing_is_known_any_number_may_be_said() -> None:
    """To 99,999, negative, with three digits after the point."""
    automaton = _automaton(ANY)
    for words in ("minus ninety nine thousand nine hundred ninety nine point two five one", "one two three four five"):
        assert automaton.accepts(words.split())


def test_a_sign_is_heard_only_where_the_meter_can_show_one():
    """Else "minus" would be made of a noise before a number."""
    for signed in (True, False):
        automaton = _automaton(Span(most=99, most_with_decimals=0, decimals=1, signed=signed))
        assert automaton.accepts(["minus", "five"]) is signed
        assert automaton.accepts(["five"])


def test_digits_after_the_point_are_those_that_the_meter_shows():
    """One by one or, where two are shown, as a pair; parts of one always; none above what is shown with any."""
    for decimals in (1, 2, 3):
        automaton = _automaton(Span(most=32, most_with_decimals=20, decimals=decimals, signed=False))
        said = {"twelve point four": 1, "point four": 1, "twelve decimal oh": 1, "twelve point four five": 2}
        said |= {"twelve point forty five": 2, "twelve point four five one": 3, "twelve point four five one two": 4}
        for words, digits in said.items():
            assert automaton.accepts(words.split()) == (digits <= decimals), (words, decimals)
        for words in ("a half", "twelve and a half", "three quarters", "one and a quarter", "thirty two"):
            assert automaton.accepts(words.split()), words
        for words in ("twelve point", "thirty point four", "and a half", "twelve point twenty five one"):
            assert not automaton.accepts(words.split()), words

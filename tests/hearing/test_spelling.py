"""Text read as sentences of a grammar."""

from __future__ import annotations

import pytest
from num2words import num2words

from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.hearing.spelling import Spelling

DIGIT = "(zero|one|two|three|four|five|six|seven|eight|nine)"
TEEN = "(ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen)"
TENS = "(twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety)"
BELOW_HUNDRED = f"({DIGIT} | {TEEN} | {TENS} [{DIGIT}])"
CARDINAL = (
    f"public <n> = <b> | {DIGIT} hundred [[and] <b>] | <t> thousand [{DIGIT} hundred] [[and] <b>];"
    f"<b> = {BELOW_HUNDRED}; <t> = {DIGIT} | {TEEN};"
)


def reading(grammar: str, text: str) -> str | None:
    words = Spelling(automaton_of(read_jsgf(grammar))).words(text)
    return None if words is None else " ".join(words)


@pytest.mark.parametrize("written", ["no spark", "No spark.", "NO SPARK!", "No, spark", "no-spark"])
def test_case_marks_and_hyphens_do_not_matter(written: str) -> None:
    """However a sentence is written, it is the same sentence."""
    assert reading("public <x> = no spark | spark;", written) == "no spark"


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("12.4 volts.", "twelve point four volts"),
        ("Twelve point four volts", "twelve point four volts"),
        ("-3 volts", "minus three volts"),
        ("155 PSI", "one hundred fifty five p s i"),
        ("99%", "ninety nine percent"),
        ("twenty-5 volts", "twenty five volts"),
    ],
)
def test_numbers_may_come_as_digits_and_units_as_letters(written: str, words: str) -> None:
    """Digits count as the words that the grammar has for them."""
    unit = "(volts | p s i | percent)"
    grammar = f"public <x> = [minus] (<b> | {DIGIT} hundred <b>) [point {DIGIT}] {unit}; <b> = {BELOW_HUNDRED};"
    assert reading(grammar, written) == words


def test_every_number_in_digits_reads_as_num2words_says_it() -> None:
    """Outside check: num2words (LGPL, PyPI), English cardinals from 0 to 19,999."""
    spelling = Spelling(automaton_of(read_jsgf(CARDINAL)))
    for number in (*range(0, 130), *range(130, 20_000, 83)):
        said = num2words(number).replace("-", " ").replace(",", "")
        words = spelling.words(str(number))
        assert words is not None and " ".join(words).replace(" and ", " ") == said.replace(" and ", " ")


@pytest.mark.parametrize("number", [1, 2, 3, 4, 11, 12, 13, 20, 21, 22, 23, 30])
def test_ordinals_in_digits(number: int) -> None:
    """Outside check: num2words for the words of first to thirtieth and their short forms."""
    said = num2words(number, to="ordinal").replace("-", " ")
    assert reading(f"public <x> = {said};", num2words(number, to="ordinal_num")) == said


def test_what_is_no_sentence_reads_as_none() -> None:
    """Too little, too much and something else are refused."""
    assert [reading("public <x> = no spark;", text) for text in ("no", "no spark now", "yes", "")] == [None] * 4


def test_a_place_knows_whether_the_text_is_whole_and_whether_it_goes_on() -> None:
    """`no` is whole and goes on, `no spark` is whole and ends, and a blank inside a word leads nowhere."""
    spelling = Spelling(automaton_of(read_jsgf("public <x> = no | no spark;")))
    place = spelling.start
    ends = []
    for letter in " no spark":
        after = spelling.after(place, letter)
        assert after is not None
        place = after
        ends.append(place.ends)
    assert ends == [False, False, True, False, False, False, False, False, True]
    assert not place.goes_on
    inside = spelling.after(spelling.start, "n")
    assert inside is not None and spelling.after(inside, " ") is None

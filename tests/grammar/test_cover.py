"""Sample sentences hold every pair of words of a grammar and nothing that is not in it."""

from __future__ import annotations

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.grammar.cover import covering_sentences
from assistant.grammar.jsgf import read_jsgf
from assistant.grammar.model import Grammar
from assistant.language.number_grammar import number_rules


def _sentences(text: str, **options: int) -> list[str]:
    return [" ".join(words) for words in covering_sentences(automaton_of(read_jsgf(text)), **options)]


def test_flat_phrases_come_out_as_they_are() -> None:
    """A list of phrases is its own cover, each once."""
    text = "#JSGF V1.0; grammar g; public <s> = spark present | weak spark | no spark | yes | ran briefly;"
    assert sorted(_sentences(text)) == ["no spark", "ran briefly", "spark present", "weak spark", "yes"]


def test_a_loop_is_covered_by_a_few_sentences_of_the_grammar() -> None:
    """Digits without end: every neighbour pair occurs, each sentence is legal, and none is longer than needed."""
    text = "#JSGF V1.0; grammar g; public <s> = code (one | two | three)+;"
    automaton = automaton_of(read_jsgf(text))
    sentences = covering_sentences(automaton)
    pairs = {pair for words in sentences for pair in zip(("", *words), (*words, ""), strict=True)}
    digits = ("one", "two", "three")
    assert pairs >= {("", "code")} | {("code", a) for a in digits} | {(a, b) for a in digits for b in (*digits, "")}
    assert all(automaton.accepts(words) for words in sentences)
    assert max(map(len, sentences)) <= 4


def test_spoken_numbers_need_few_sentences() -> None:
    """Every spoken number that the house understands is covered by less than two thousand samples."""
    grammar = Grammar(rules=number_rules(), starts=("number",))
    automaton = automaton_of(grammar)
    sentences = covering_sentences(automaton)
    assert {word for words in sentences for word in words} == automaton.vocabulary()
    assert 30 < len(sentences) < 2_000
    assert all(automaton.accepts(words) for words in sentences)


def test_a_limit_keeps_the_words() -> None:
    """With room for few sentences every word is still in one of them."""
    text = "#JSGF V1.0; grammar g; public <s> = (a | b | c | d)+;"
    assert {word for words in _sentences(text, max_sentences=4) for word in words.split()} == set("abcd")


@pytest.mark.parametrize("body", ["<VOID>", "a <VOID>"])
def test_nothing_to_say_gives_no_sentence(body: str) -> None:
    """A grammar without a sentence has no cover."""
    assert _sentences(f"#JSGF V1.0; grammar g; public <s> = {body};") == []

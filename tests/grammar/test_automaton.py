"""The automaton of a grammar."""

from __future__ import annotations

from itertools import product
from math import inf, log

import pytest
from hypothesis import given
from hypothesis import strategies as some

from assistant.errors import ProcedureError
from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.grammar.model import Alternatives, Expansion, Grammar, Reference, Repeat, Sequence, Tagged, Word

expansions = some.recursive(
    some.sampled_from("abc").map(Word),
    lambda inner: (
        some.lists(inner, max_size=3).map(lambda parts: Sequence(tuple(parts)))
        | some.lists(inner, max_size=3).map(lambda parts: Alternatives(tuple(parts)))
        | some.builds(Repeat, inner, some.just(0), some.sampled_from([1, 2]))
        | some.builds(Tagged, inner, some.just("t"))
    ),
    max_leaves=6,
)


def language(part: Expansion) -> set[tuple[str, ...]]:
    """All sentences, by the meaning of each shape; only for parts without end."""
    match part:
        case Word(text):
            return {(text,)}
        case Sequence(parts):
            found: set[tuple[str, ...]] = {()}
            for inner in parts:
                found = {head + tail for head in found for tail in language(inner)}
            return found
        case Alternatives(choices):
            return set().union(*(language(choice) for choice in choices))
        case Repeat(inner, least, most):
            assert most is not None
            return set().union(*(language(Sequence((inner,) * times)) for times in range(least, most + 1)))
        case Tagged(inner, _):
            return language(inner)
        case _:
            raise AssertionError


@given(expansions)
def test_it_accepts_exactly_the_language_of_the_grammar(part: Expansion) -> None:
    """For any small grammar every sentence of it is accepted, and every near sentence outside is not."""
    sentences = language(part)
    automaton = automaton_of(Grammar(rules={"x": part}, starts=("x",)))
    near = {sentence[:-1] for sentence in sentences} | {(*sentence, "a") for sentence in sentences} | {("b",), ()}
    assert all(automaton.accepts(sentence) for sentence in sentences)
    assert not any(automaton.accepts(sentence) for sentence in near - sentences)
    assert automaton.says_nothing == (not sentences)
    assert all(automaton.tags(sentence) is not None for sentence in sentences)


def tagged(part: Expansion) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """All ways through it, each with its tags."""
    match part:
        case Sequence(parts):
            found: list[tuple[tuple[str, ...], tuple[str, ...]]] = [((), ())]
            for inner in parts:
                found = [(said + more, met + then) for said, met in found for more, then in tagged(inner)]
            return found
        case Alternatives(choices):
            return [way for choice in choices for way in tagged(choice)]
        case Repeat(inner, least, most):
            assert most is not None
            return [way for times in range(least, most + 1) for way in tagged(Sequence((inner,) * times))]
        case Tagged(inner, tag):
            return [(said, (tag, *met)) for said, met in tagged(inner)]
        case _:
            return [(said, ()) for said in language(part)]


@given(expansions)
def test_a_sentence_has_the_tags_of_one_way_through_it(part: Expansion) -> None:
    """Of all that are met on it, outer before inner, asked for the first time or again."""
    ways = tagged(part)
    automaton = automaton_of(Grammar(rules={"x": part}, starts=("x",)))
    for said, _ in [*ways, *ways]:
        assert automaton.tags(said) in [met for words, met in ways if words == said]


def test_of_several_ways_the_authors_first_gives_the_tags() -> None:
    """Also where the later one begins with the same word."""
    automaton = automaton_of(read_jsgf("public <x> = (a {one} | a b {two}) {all} | a {three} | a b {four};"))
    assert automaton.tags(["a"]) == ("all", "one")
    assert automaton.tags(["a", "b"]) == ("all", "two")


def test_a_way_that_cannot_end_is_not_offered() -> None:
    """Words after which nothing can be finished are never among the next words."""
    dead = Sequence((Word("a"), Alternatives(())))
    automaton = automaton_of(Grammar(rules={"x": Alternatives((dead, Word("b")))}, starts=("x",)))
    assert [word for word, _ in automaton.next_words(automaton.start)] == ["b"]
    assert automaton.vocabulary() == {"b"}


def test_rules_that_double_each_other_are_refused_in_words() -> None:
    """A grammar that would fill the memory is refused instead."""
    rules: dict[str, Expansion] = {
        f"r{i}": Sequence((Reference(f"r{i + 1}"), Reference(f"r{i + 1}"))) for i in range(40)
    }
    rules["r40"] = Word("a")
    with pytest.raises(ProcedureError, match="grows past"):
        automaton_of(Grammar(rules=rules, starts=("r0",), name="bomb"))


def test_centre_recursion_is_refused_in_words() -> None:
    """What only a stack could follow is refused."""
    rules = {"x": Sequence((Word("a"), Repeat(Reference("x"), 0, 1), Word("b")))}
    with pytest.raises(ProcedureError, match="recurse at the end"):
        automaton_of(Grammar(rules=rules, starts=("x",)))


@given(expansions)
def test_weights_change_what_is_likely_and_nothing_else(part: Expansion) -> None:
    """Whatever is legal without weights is legal with them, and no sentence is likelier than certain."""
    sentences = language(part)
    automaton = automaton_of(Grammar(rules={"x": weighed(part)}, starts=("x",)))
    assert all(automaton.accepts(sentence) for sentence in sentences)
    assert all(-inf < automaton.likelihood(sentence) <= 0.0 for sentence in sentences)


def weighed(part: Expansion) -> Expansion:
    """The same with weights at every choice, the first nought."""
    match part:
        case Alternatives(choices) if len(choices) > 1:
            return Alternatives(tuple(map(weighed, choices)), tuple(map(float, range(len(choices)))))
        case Alternatives(choices):
            return Alternatives(tuple(map(weighed, choices)))
        case Sequence(parts):
            return Sequence(tuple(map(weighed, parts)))
        case Repeat(inner, least, most):
            return Repeat(weighed(inner), least, most)
        case Tagged(inner, tag):
            return Tagged(weighed(inner), tag)
        case _:
            return part


def test_a_sentence_is_as_likely_as_its_weights_say() -> None:
    """One of four, then one of two; without weights nothing is known; the likeliest of two ways counts."""
    half = Alternatives((Word("b"), Word("c")), (1.0, 1.0))
    part = Alternatives((Sequence((Word("a"), half)), Word("d"), Word("d")), (1.0, 1.0, 2.0))
    automaton = automaton_of(Grammar(rules={"x": part}, starts=("x",)))
    assert automaton.likelihood(["a", "b"]) == pytest.approx(log(1 / 8))
    assert automaton.likelihood(["d"]) == pytest.approx(log(1 / 2))
    assert automaton.likelihood(["a"]) == -inf
    plain = automaton_of(Grammar(rules={"x": Alternatives((Word("a"), Word("b")))}, starts=("x",)))
    assert plain.likelihood(["a"]) == 0.0


def test_what_may_follow_is_told_by_its_tags_however_long_it_may_be() -> None:
    """A loop without end is walked once; ways that differ in their tags are told apart."""
    loop = Sequence((Tagged(Word("a"), "one"), Repeat(Word("b"), 0, None)))
    part = Alternatives((loop, Tagged(Sequence((Word("a"), Word("c"))), "two")))
    automaton = automaton_of(Grammar(rules={"x": part}, starts=("x",)))
    assert set(automaton.tags_beyond(["a"])) == {("one",), ("two",)}
    assert set(automaton.tags_beyond(["a", "b"])) == {("one",)}
    assert set(automaton.tags_beyond(["a", "c"])) == set()


def test_longer_sentences_are_told_where_they_are_few() -> None:
    """Each once, shortest first; none beyond the longest; no list where they are without end or too many."""
    automaton = automaton_of(read_jsgf("public <x> = a [b [c | d]] | a b c | e (f)*;"))
    assert automaton.longer(["a"], 5) == ["a b", "a b c", "a b d"]
    assert automaton.longer(["a", "b", "c"], 5) == []
    assert automaton.longer(["a"], 2) is None
    assert automaton.longer(["e"], 20) is None


def test_a_grammar_is_parted_by_the_words_that_it_has() -> None:
    """Every sentence is of those without the words or of those with one of them; tags and weights stay."""
    whole = automaton_of(read_jsgf("public <x> = /3/ no spark {none} | /1/ [very] (dull | weak)+ spark {weak} | dull;"))
    words = {"dull", "no"}
    without, having = whole.without(words), whole.with_any(words)
    vocabulary = sorted(whole.vocabulary())
    for length in range(5):
        for said in product(vocabulary, repeat=length):
            has = not words.isdisjoint(said)
            assert without.accepts(said) == (whole.accepts(said) and not has)
            assert having.accepts(said) == (whole.accepts(said) and has)
            part = having if has else without
            if whole.accepts(said):
                assert part.tags(said) == whole.tags(said)
                assert part.likelihood(said) == pytest.approx(whole.likelihood(said))
    assert whole.without(vocabulary).says_nothing and whole.with_any(()).says_nothing

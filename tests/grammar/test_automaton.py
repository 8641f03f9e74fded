"""The automaton of a grammar."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from assistant.errors import ProcedureError
from assistant.grammar.automaton import automaton_of
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

"""The nearest two sentences of two grammars, by ear, are found without listing either."""

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from assistant.grammar.automaton import Automaton, automaton_of
from assistant.grammar.model import Alternatives, Grammar, phrase
from assistant.procedure.near import Sounds, nearest
from assistant.procedure.sound import distance

WORDS = ("lamp", "damp", "out", "on", "off", "the", "no", "note", "spark", "sparks", "dark", "low")
SENTENCES = st.lists(st.lists(st.sampled_from(WORDS), min_size=1, max_size=3).map(" ".join), min_size=1, max_size=5)


def _grammar(sentences: list[str]) -> Automaton:
    said = Alternatives(tuple(map(phrase, sentences)))
    return automaton_of(Grammar(rules={"said": said}, starts=("said",)))


@given(SENTENCES, SENTENCES)
def test_is_as_near_as_the_nearest_of_all_pairs(one: list[str], other: list[str]) -> None:
    """The walk over both automata finds what comparing every sentence with every other finds."""
    listed = min(distance(first, second) for first, second in product(one, other))
    found = nearest(Sounds(_grammar(one)), Sounds(_grammar(other)), most=1.5)
    if listed > 1.5:
        assert found is None
    else:
        assert found is not None
        assert found.apart == listed
        assert found.one in one
        assert found.other in other
        assert distance(found.one, found.other) == listed

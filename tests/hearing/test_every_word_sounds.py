"""Each word that may be said has a sound: a phrase with a word that has none is heard by its text alone."""

from assistant.bench.sets import asks_of
from assistant.grammar.automaton import automaton_of
from assistant.procedure.sound import unknown_words
from assistant.reasoning.reasoner import make_reasoner
from assistant.session.adviser import Adviser
from assistant.wiring import load_library
from assistant.wiring.fault_models import model_for


def test_every_word_that_is_legal_anywhere_has_a_sound():
    """What may be supposed among them ("what if it has a carburettor"), which no phrase of a procedure has."""
    _, library = load_library("no-start")
    asks = asks_of(library, Adviser(make_reasoner(model_for("no-start", None)), library))
    words = {word for ask in asks for phrase in (*ask.answers, *ask.others) for word in phrase.split()}
    most = max(asks, key=lambda ask: len(ask.others))
    assert unknown_words(" ".join(sorted(words | set(automaton_of(most.grammar).vocabulary())))) == ()

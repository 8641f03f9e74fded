"""The scenes in which an answer is said over our own prompt."""

import numpy as np
import pytest

from assistant.bench.breath import asked, breaths, outcome
from assistant.bench.echo_answer import Told, _figures, questions
from assistant.guide import Mode
from assistant.language.model import GiveFacts, Heard
from assistant.language.plain import plain_words
from assistant.language.understand import understand
from assistant.session.cut_in import heard_over, taken_over
from assistant.wiring import load_library


@pytest.fixture(scope="module")
def library():
    """The procedures of no-start."""
    return load_library("no-start")[1]


def test_what_is_answered_is_legal_over_the_prompt_and_no_part_of_it(library):
    """So that a miss is one of hearing."""
    asked_of = questions(list(library.values()), np.random.default_rng(2))
    for _ in range(40):
        question = next(asked_of)
        now = heard_over(question.now, Mode.ASKING, question.prompt)
        assert question.words in now.results[question.result]
        heard = Heard(words=question.words, confidence=1.0)
        assert taken_over(heard, question.prompt) is not None
        assert plain_words(question.words) not in " ".join(plain_words(each.text) for each in question.prompt)


def test_shares_are_of_what_was_cut():
    """An answer that cut nothing is neither right nor wrong; one before it was begun is told."""
    told = [
        Told(cut=True, right=True, cut_ms=100.0, took_ms=40.0),
        Told(cut=True, early=True, cut_ms=-500.0),
        Told(),
        Told(),
    ]
    found = _figures(told)
    assert (found["cut"], found["right_of_cut"], found["early"]) == (0.5, 0.5, 1)
    assert found["of_which_computed_ms_p50"] == 20
    assert _figures([])["count"] == 0


def test_each_breath_tells_facts_where_a_brief_job_asks_for_them():
    """Typed word for word all are taken; fewer are some, another value is wrong, other words are nothing."""
    now, said = asked(), breaths(np.random.default_rng(5))
    for _ in range(25):
        words = Heard(words=next(said), confidence=1.0)
        assert isinstance(understand(words, now), GiveFacts), words.words
        assert outcome(words, now, words) == "all"
    meant = Heard(words="it's a petrol four cylinder with coil on plug", confidence=1.0)
    assert outcome(Heard(words="petrol four cylinder", confidence=1.0), now, meant) == "some"
    assert outcome(Heard(words="petrol six cylinders with coil on plug", confidence=1.0), now, meant) == "wrong"
    assert outcome(Heard(words="say again", confidence=1.0), now, meant) == "nothing"

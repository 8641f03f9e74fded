"""Spoken answers: short, true to the odds, and at most two sentences."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.english.reasoned import DO_NOT_FIT
from assistant.reasoning.answers import (
    news,
    say_conflict,
    say_odds,
    what_do_you_think,
    what_speaks_against,
    why,
)
from assistant.reasoning.plan_words import what_if
from assistant.reasoning.planner import Act, make_plan
from assistant.reasoning.posterior import Belief, believe
from assistant.reasoning.reasoner import Reasoner, form_opinion

MOST_WORDS = 40
"""Two short sentences; the longest fault names have nine words each."""


def supposed(reasoner: Reasoner, belief: Belief, test: str, result: str) -> str:
    """What "what if" answers, with any test to choose from."""
    return what_if(reasoner, belief, test, result, lambda then: make_plan(reasoner.model, reasoner.network, then))


def sentences(text: str) -> int:
    return len(re.findall(r"[.?!](?:\s|$)", text))


@pytest.mark.parametrize(
    ("odds", "words"),
    [
        (0.999, "almost certain"),
        (0.93, "about nine in ten"),
        (0.72, "about seven in ten"),
        (0.14, "about one in ten"),
        (0.06, "about one in ten"),
        (0.02, "very unlikely"),
    ],
)
def test_odds_in_words(odds: float, words: str) -> None:
    """Odds are said in tenths, with words for the ends."""
    assert say_odds(odds) == words


def test_what_do_you_think(shipped: Reasoner) -> None:
    """The likeliest fault comes with its odds, then the next."""
    opinion = form_opinion(shipped, {"pump-prime": "silent", "pump-supply": "missing"})
    said = what_do_you_think(shipped, opinion)
    assert said.startswith("Most likely no feed to the fuel pump, about ")
    assert said.count("in ten") == 2


def test_why_names_what_speaks_for_it_and_against_it(shipped: Reasoner) -> None:
    """The reasons are the findings that moved the odds most, for and against."""
    opinion = form_opinion(
        shipped, {"spark-check": "none", "crank-signal": "zero", "crank-sensor-output": "there", "fuel-level": "plenty"}
    )
    said = why(shipped, opinion)
    assert opinion.top == "module-power" or "the reader shows zero" in said
    assert said.startswith("Because ")
    assert "there is plenty of fuel" not in said


def test_what_speaks_against_it_names_the_next_fault_too(shipped: Reasoner) -> None:
    """Two short sentences, with or without anything against it."""
    for evidence in ({"battery-at-rest": "flat", "clamps": "loose"}, {"fuel-level": "empty"}):
        said = what_speaks_against(shipped, form_opinion(shipped, evidence))
        assert sentences(said) == 2
        assert len(said.split()) <= MOST_WORDS
        assert " Next comes " in said


def test_why_without_evidence_says_so(shipped: Reasoner) -> None:
    """With nothing seen the commonest fault is named as that."""
    assert why(shipped, form_opinion(shipped, {})).startswith("Nothing seen so far points to a faulty crank sensor")


def test_what_if_spark_is_present(shipped: Reasoner) -> None:
    """A supposed result is told with what it would make likely and what would follow."""
    said = supposed(shipped, believe(shipped.network, {"leak-check": "dry"}), "spark-check", "present")
    assert said.startswith("If spark is present, ")
    assert "would be most likely" in said
    with pytest.raises(KeyError):
        supposed(shipped, believe(shipped.network, {}), "spark-check", "purple")


def test_what_if_and_what_next_propose_the_same(shipped: Reasoner) -> None:
    """One proposer: what would be done next is what the plan does once the result is there."""
    for seen in ({}, {"leak-check": "dry"}, {"codes": "none", "leak-check": "dry"}):
        for test, result in (("crank-signal", "zero"), ("pump-prime", "silent"), ("spark-check", "none")):
            said = supposed(shipped, believe(shipped.network, seen), test, result)
            then = make_plan(shipped.model, shipped.network, believe(shipped.network, {**seen, test: result}))
            named = shipped.model.test(then.name).say if then.act is Act.TEST else shipped.model.say_fault(then.name)
            assert said.endswith((f"do the {named}.", f"repair {named}.", "repair it.")), said


def test_a_supposition_changes_nothing(shipped: Reasoner) -> None:
    """Asking "what if" leaves the opinion as it was."""
    opinion = form_opinion(shipped, {"leak-check": "dry"})
    before = dict(opinion.odds)
    supposed(shipped, opinion.belief, "spark-check", "none")
    assert form_opinion(shipped, opinion.belief.evidence).odds == before


def test_only_what_is_new_is_said_unasked(shipped: Reasoner) -> None:
    """A fault that has just become likely enough, or a result that does not fit; else nothing."""
    seen = {"pump-prime": "silent", "pump-supply": "good", "pump-direct": "dead"}
    first, second, proved = (
        believe(shipped.network, dict(list(seen.items())[:count]) | more)
        for count, more in ((0, {}), (1, {}), (3, {"fuel-pressure": "none"}))
    )
    assert news(shipped, first, second) == ""
    told = "By the odds a dead fuel pump, almost certain. Test more first, or end the job."
    assert news(shipped, second, proved) == told
    assert news(shipped, proved, proved) == ""
    odd = believe(shipped.network, {"fuel-substitute": "runs", "crank-signal": "shown", "coil-trigger": "there"})
    odder = believe(shipped.network, {**odd.evidence, "second-coil": "no-change", "spark-check": "none"})
    assert news(shipped, odd, odder) == DO_NOT_FIT
    assert news(shipped, odder, odder) == ""


def test_conflict_asks_for_the_suspect(shipped: Reasoner) -> None:
    """Results that do not fit are told, with the one to check again, before anything else."""
    opinion = form_opinion(
        shipped,
        {
            "fuel-substitute": "runs",
            "crank-signal": "shown",
            "coil-trigger": "there",
            "coil-supply-volts": "there",
            "second-coil": "no-change",
            "spark-check": "none",
        },
    )
    assert say_conflict(shipped, opinion) == "These results do not fit together: do the starting fluid test again."
    assert what_do_you_think(shipped, opinion).startswith("These results do not fit together")


@settings(max_examples=25)
@given(data=st.data())
def test_every_answer_is_short(shipped: Reasoner, data: st.DataObject) -> None:
    """Whatever was seen, every answer has at most two sentences and is short enough to be held in the head."""
    tests = data.draw(st.lists(st.sampled_from(shipped.model.tests), unique_by=lambda test: test.id, max_size=8))
    evidence = {test.id: data.draw(st.sampled_from(test.values)).id for test in tests}
    opinion = form_opinion(shipped, evidence)
    other = data.draw(st.sampled_from(shipped.model.tests))
    for said in (
        what_do_you_think(shipped, opinion),
        why(shipped, opinion),
        supposed(shipped, opinion.belief, other.id, other.values[0].id),
    ):
        assert said.endswith(".")
        assert sentences(said) <= 2
        assert len(said.split()) <= MOST_WORDS

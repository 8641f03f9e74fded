"""Results that do not fit together are noticed, and what fits is left in peace."""

from __future__ import annotations

from math import log2

import pytest

from assistant.reasoning.conflict import against_others_bits, alone_odds, conflict_bits, find_conflict
from assistant.reasoning.doubt import wrong_odds
from assistant.reasoning.model import Model
from assistant.reasoning.network import compile_network
from assistant.reasoning.posterior import believe, fault_odds
from assistant.reasoning.reasoner import Reasoner


def test_measure_is_the_ratio_of_apart_to_together(lamp: Model) -> None:
    """The measure is log2 of the product of the single likelihoods over the joint one."""
    network = compile_network(lamp)
    evidence = {"look": "lit", "current": "none"}
    apart = [believe(network, {name: value}).likelihood for name, value in evidence.items()]
    together = believe(network, evidence).likelihood
    assert conflict_bits(network, evidence) == pytest.approx(log2(apart[0] * apart[1] / together))


def test_findings_that_support_each_other_do_not_conflict(shipped: Reasoner) -> None:
    """Spark gone, no speed on the reader, crank sensor code: one story, negative measure, no conflict."""
    evidence = {"spark-check": "none", "crank-signal": "zero", "codes": "crank"}
    assert conflict_bits(shipped.network, evidence) < 0.0
    assert find_conflict(shipped.network, believe(shipped.network, evidence)) is None


def test_a_contradiction_is_noticed_and_traced(shipped: Reasoner) -> None:
    """Two coils gave no spark, and it is said to have run on starting fluid: that one word is checked again."""
    evidence = {
        "fuel-substitute": "runs",
        "crank-signal": "shown",
        "coil-trigger": "there",
        "coil-supply-volts": "there",
        "second-coil": "no-change",
        "spark-check": "none",
    }
    conflict = find_conflict(shipped.network, believe(shipped.network, evidence))
    assert conflict is not None
    assert conflict.suspect == "fuel-substitute"
    assert conflict.bits > 1.0


def test_a_crowd_of_findings_does_not_hide_the_odd_one(shipped: Reasoner) -> None:
    """Four findings for the crank sensor outweigh by number, and still the run on starting fluid stands out."""
    evidence = {
        "how-it-stopped": "sudden",
        "crank-signal": "zero",
        "spark-check": "none",
        "crank-sensor-output": "missing",
        "fuel-substitute": "runs",
    }
    assert conflict_bits(shipped.network, evidence) < 0.0
    conflict = find_conflict(shipped.network, believe(shipped.network, evidence))
    assert conflict is not None
    assert conflict.suspect == "fuel-substitute"


def test_against_others_is_the_fall_of_the_whole(lamp: Model) -> None:
    """How far one finding stands against the others is what the whole measure falls by when it is struck."""
    network = compile_network(lamp)
    evidence = {"look": "lit", "current": "none", "volts": "good"}
    for name in evidence:
        left = {other: value for other, value in evidence.items() if other != name}
        fall = conflict_bits(network, evidence) - conflict_bits(network, left)
        assert against_others_bits(network, evidence)[name] == pytest.approx(fall)


def test_one_finding_cannot_conflict(shipped: Reasoner) -> None:
    """A single finding, however rare, is no conflict."""
    assert find_conflict(shipped.network, believe(shipped.network, {"belt-free": "stiff"})) is None


def test_what_cannot_be_conflicts_without_end(lamp: Model) -> None:
    """Findings that exclude each other conflict with infinite bits."""
    network = compile_network(lamp)
    conflict = find_conflict(network, believe(network, {"feed": "gone", "look": "lit"}))
    assert conflict is not None
    assert conflict.bits == float("inf")


def test_one_finding_cannot_contradict_itself_and_an_unknown_one_is_an_error(lamp: Model) -> None:
    """None and one measure nothing; a value that the model lacks is not guessed."""
    network = compile_network(lamp)
    assert conflict_bits(network, {}) == conflict_bits(network, {"look": "dark"}) == 0.0
    assert alone_odds(network, "look", "dark") + alone_odds(network, "look", "lit") == pytest.approx(1.0)
    for name, value in (("look", "half"), ("smell", "dark")):
        with pytest.raises(KeyError):
            alone_odds(network, name, value)


def test_the_pattern_of_a_lost_key_accuses_what_it_does_not_explain(shipped: Reasoner) -> None:
    """Lit with its own key and out with the spare is the very pattern of a theft protection: what does not fit it is
    that it died at once while driving, and neither lamp nor spare key is the likeliest told wrong."""
    for more in ({}, {"other-key": "starts"}):
        seen = {"complaint": "turns", "history": "repair", "how-it-stopped": "sudden", "spare-key": "out", **more}
        belief = believe(shipped.network, seen)
        conflict = find_conflict(shipped.network, belief)
        assert conflict is None or conflict.suspect == "how-it-stopped"
        odds = {name: wrong_odds(shipped.network, belief, name) for name in seen}
        assert max(odds, key=lambda name: odds[name]) == "how-it-stopped"


def test_an_engine_that_runs_now_contradicts_nothing_that_was_seen_before(shipped: Reasoner) -> None:
    """A silent pump with no feed, and then it runs: that is what comes and goes does. The fault stays the likeliest,
    what can never go away by itself falls out, and a dead crank is still one sign against what is away."""
    seen = {"pump-prime": "silent", "fuel-pressure": "none", "cranking-speed": "normal"}
    before = believe(shipped.network, seen)
    after = believe(shipped.network, {**seen, "starts-and-dies": "runs"})
    assert find_conflict(shipped.network, after) == find_conflict(shipped.network, before)
    was, now = (fault_odds(shipped.network, each) for each in (before, after))
    assert now["pump-dead"] + now["pump-feed"] > 0.4
    alone, runs = (
        fault_odds(shipped.network, believe(shipped.network, told)) for told in ({}, {"starts-and-dies": "runs"})
    )
    for fault in ("empty-tank", "timing-slipped", "engine-stuck", "low-compression"):
        assert runs[fault] < 0.5 * alone[fault]
    assert runs["crank-sensor"] > 2 * alone["crank-sensor"]
    dead = believe(shipped.network, {"starts-and-dies": "never"})
    away = slice(shipped.network.left.start - len(shipped.network.away), shipped.network.left.start)
    assert dead.hypotheses[away].sum() < 0.1 * shipped.network.prior[away].sum() < was["pump-dead"]

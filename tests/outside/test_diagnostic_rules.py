"""Choice of tests against worked examples.

Polybox: de Kleer & Williams 1987 (Artificial Intelligence 32, 97), minimal diagnoses and best probe as told on public
course slides. Half-split: US Army intelligence course IT0338 for the rule; the bits are derived. Probability over cost:
Kalagnanam & Henrion (arXiv 1304.2362) for the rule; the figures of the example are derived by trying all 24 orders.
"""

from __future__ import annotations

from itertools import permutations, product
from math import log2
from pathlib import Path

import numpy as np
import pytest

from assistant.procedure.model import Place
from assistant.reasoning.model import JUDGEMENT, Fault, Model, Priors, Row, Settings, Value, Variable, Work
from assistant.reasoning.network import Network, compile_network
from assistant.reasoning.next_test import entropy_bits, gain_bits, rank_tests
from assistant.reasoning.posterior import believe, fault_odds
from assistant.reasoning.reader import read_model

WRONG_F = {"f": "10", "g": "12"}


def suspects(priors: dict[str, float], checks: dict[str, tuple[tuple[str, ...], float, float]]) -> Model:
    """A model of single faults. `checks`: test → (faults that it sees, its error both ways, its minutes)."""
    return Model(
        id="suspects",
        version=1,
        title="suspects",
        settings=Settings(priors=Priors.SHARES, none_of_these=1.0 - sum(priors.values())),
        faults=tuple(Fault(id=name, say=name, prior=prior, source=JUDGEMENT) for name, prior in priors.items()),
        conditions=(),
        tests=tuple(
            Variable(
                id=name,
                say=name,
                values=(Value(id="good", say="good"), Value(id="bad", say="bad")),
                default=(1.0 - error, error),
                rows=(Row(under=sees, given={}, likely=(error, 1.0 - error)),),
                source=JUDGEMENT,
                work=Work(place=Place.HOOD, minutes=minutes),
            )
            for name, (sees, error, minutes) in checks.items()
        ),
    )


def polybox() -> tuple[Model, Network]:
    path = Path(__file__).parent / "fault_models" / "polybox.faults.yaml"
    model = read_model(str(path), path.read_text(encoding="utf-8"))
    return model, compile_network(model)


def test_polybox_minimal_diagnoses() -> None:
    """With F wrong and G right exactly {A1}, {M1}, {A2,M2}, {M2,M3} and what holds one of them can be (published)."""
    _, network = polybox()
    belief = believe(network, WRONG_F)
    possible = {
        frozenset(network.faults[fault] for fault in hypothesis)
        for hypothesis, chance in zip(network.hypotheses, belief.hypotheses, strict=True)
        if chance > 0.0
    }
    minimal = {one for one in possible if not any(other < one for other in possible)}
    assert minimal == {frozenset({"a1"}), frozenset({"m1"}), frozenset({"a2", "m2"}), frozenset({"m2", "m3"})}


def test_polybox_best_probe() -> None:
    """The best probe is X, the output of M1 (published)."""
    model, network = polybox()
    ranked = rank_tests(model, network, believe(network, WRONG_F))
    assert ranked[0].test == "x"
    assert max(ranked, key=lambda choice: choice.gain_bits).test == "x"


@pytest.mark.parametrize(("seen", "left"), [("6", "a1"), ("4", "m1")])
def test_polybox_after_the_probe(seen: str, left: str) -> None:
    """X = 6 leaves A1, X = 4 leaves M1 (published)."""
    _, network = polybox()
    found = fault_odds(network, believe(network, {**WRONG_F, "x": seen}))
    assert next(iter(found)) == left
    assert found[left] > 0.95


@pytest.mark.parametrize(("sees", "bits"), [(4, 1.0), (1, 0.5436)])
def test_half_split(sees: int, bits: float) -> None:
    """Of eight equal suspects a check of the middle tells 1 bit, a check of one of them 0.5436 bit (derived)."""
    names = [f"s{number}" for number in range(8)]
    model = suspects(dict.fromkeys(names, 0.125), {"probe": (tuple(names[:sees]), 0.0, 1.0)})
    network = compile_network(model)
    assert gain_bits(network, believe(network, {}), "probe") == pytest.approx(bits, abs=5e-5)


def test_half_split_finds_one_of_eight_in_three_checks() -> None:
    """Always taking the best check, three checks find any of eight suspects in a row (derived: log2 of 8)."""
    names = [f"s{number}" for number in range(8)]
    checks = {f"before-{cut}": (tuple(names[:cut]), 0.0, 1.0) for cut in range(1, 8)}
    model = suspects(dict.fromkeys(names, 0.125), checks)
    network = compile_network(model)
    for guilty in range(8):
        evidence: dict[str, str] = {}
        while max(fault_odds(network, believe(network, evidence)).values()) < 1.0 - 1e-9:
            best = rank_tests(model, network, believe(network, evidence))[0].test
            evidence[best] = "bad" if guilty < int(best.removeprefix("before-")) else "good"
        assert len(evidence) == 3


def test_gain_of_an_uncertain_check() -> None:
    """Priors .5 .3 .15 .05, a check of the first with 5 % error: 0.713603 bit of 1.647731 (derived)."""
    priors = {"a": 0.5, "b": 0.3, "c": 0.15, "d": 0.05}
    model = suspects(priors, {"look": (("a",), 0.05, 1.0)})
    network = compile_network(model)
    belief = believe(network, {})
    assert entropy_bits(belief.hypotheses) == pytest.approx(1.647731, abs=1e-6)
    assert gain_bits(network, belief, "look") == pytest.approx(0.713603, abs=1e-6)
    noise = -(0.05 * log2(0.05) + 0.95 * log2(0.95))
    assert gain_bits(network, belief, "look") == pytest.approx(1.0 - noise, abs=1e-9)


PROBABILITY = {"a": 0.4, "b": 0.3, "c": 0.2, "d": 0.1}
COST = {"a": 20.0, "b": 5.0, "c": 2.0, "d": 1.0}


def expected_cost(order: tuple[str, ...], last_is_free: bool = False) -> float:
    """Cost until the guilty one was checked; `last_is_free`: the last suspect is inferred, not checked."""
    total, spent = 0.0, 0.0
    for number, name in enumerate(order):
        spent += 0.0 if last_is_free and number == len(order) - 1 else COST[name]
        total += PROBABILITY[name] * spent
    return total


def test_probability_over_cost_is_best_of_all_orders() -> None:
    """By probability over cost c, d, b, a cost 14.3, the least of all 24; by probability alone 23.7 (derived)."""
    by_rule = tuple(sorted(PROBABILITY, key=lambda name: -PROBABILITY[name] / COST[name]))
    assert by_rule in {("c", "d", "b", "a"), ("d", "c", "b", "a")}
    assert expected_cost(by_rule) == pytest.approx(14.3)
    assert min(map(expected_cost, permutations(PROBABILITY))) == pytest.approx(14.3)
    assert expected_cost(("a", "b", "c", "d")) == pytest.approx(23.7)
    assert expected_cost(("c", "d", "b", "a"), last_is_free=True) == pytest.approx(6.3)


def test_looking_ahead_is_as_good_as_probability_over_cost_where_that_is_optimal() -> None:
    """On the same suspects the assistant's own order costs the least possible with the last one inferred (6.3)."""
    model = suspects(PROBABILITY, {name: ((name,), 0.0, COST[name]) for name in PROBABILITY})
    network = compile_network(model)
    total = 0.0
    for guilty, chance in PROBABILITY.items():
        evidence: dict[str, str] = {}
        while max(fault_odds(network, believe(network, evidence)).values()) < 1.0 - 1e-9:
            best = rank_tests(model, network, believe(network, evidence))[0].test
            evidence[best] = "bad" if best == guilty else "good"
            total += chance * COST[best]
    assert total == pytest.approx(6.3)


def test_network_agrees_with_the_sum_over_all_worlds() -> None:
    """The posterior of the Polybox equals brute force over every joint state, by hand from its tables."""
    _, network = polybox()
    weights: dict[frozenset[str], float] = {}
    before = slice(network.left.start)  # nothing is left of two faults before something was repaired
    for hypothesis, prior in zip(network.hypotheses[before], network.prior[before], strict=True):
        broken = frozenset(network.faults[fault] for fault in hypothesis)
        for x, y, z in product((4, 6, 8), repeat=3):
            chance = prior
            for name, value in (("m1", x), ("m2", y), ("m3", z)):
                chance *= (0.5 if value != 6 else 0.0) if name in broken else float(value == 6)
            chance *= 0.2 if "a1" in broken else float(x + y == 10)
            chance *= 0.2 if "a2" in broken else float(y + z == 12)
            weights[broken] = weights.get(broken, 0.0) + chance
    found = believe(network, WRONG_F).hypotheses
    worlds = [weights[frozenset(network.faults[fault] for fault in one)] for one in network.hypotheses[before]]
    expected = np.array(worlds)
    assert found[before] == pytest.approx(expected / expected.sum(), abs=1e-12)
    assert not found[network.left].any()

"""The planner: what it reckons against plain enumeration, and what it says to do."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from assistant.procedure.model import Place
from assistant.reasoning.model import (
    JUDGEMENT,
    NONE_OF_THESE,
    Fault,
    Model,
    Priors,
    Row,
    Settings,
    Value,
    Variable,
    Work,
)
from assistant.reasoning.network import compile_network
from assistant.reasoning.planner import Act, Readiness, foresee, make_plan, repair_costs, wasted_min
from assistant.reasoning.posterior import believe, fault_odds, repaired, see
from assistant.reasoning.reasoner import Reasoner

WRONG = 0.1
PRIORS = {"dead": 0.5, "feed": 0.3, "switch": 0.1}
SHOWS = {"look": {"dead": 0.9, "feed": 0.8}, "volts": {"feed": 0.95, "switch": 0.5}}
OTHERWISE = {"look": 0.1, "volts": 0.05}


def made_up(**settings: float) -> Model:
    """Three faults, two tests of two results; no conditions, so that all can be counted by hand."""
    return Model(
        id="made-up",
        version=1,
        title="made up",
        settings=replace(
            Settings(priors=Priors.SHARES, none_of_these=0.1, two_faults=0.2, wrong_answers=WRONG, search_min=100.0),
            **settings,
        ),
        faults=tuple(
            Fault(id=name, say=name, prior=prior, source=JUDGEMENT, repair_min=20.0, fits_part=name == "dead")
            for name, prior in PRIORS.items()
        ),
        conditions=(),
        tests=tuple(
            Variable(
                id=name,
                say=name,
                values=(Value(id="good", say="good"), Value(id="bad", say="bad")),
                default=(1.0 - OTHERWISE[name], OTHERWISE[name]),
                rows=tuple(Row(under=(fault,), given={}, likely=(1.0 - p, p)) for fault, p in rows.items()),
                source=JUDGEMENT,
                work=Work(place=Place.HOOD, minutes=minutes),
            )
            for (name, rows), minutes in zip(SHOWS.items(), (1.0, 2.0), strict=True)
        ),
    )


def by_hand() -> Iterator[tuple[frozenset[str], float]]:
    """Every set of faults and its prior, written out once more from what the model's docs say."""
    yield frozenset(), 0.8 * 0.1
    yield from ((frozenset({name}), 0.8 * prior) for name, prior in PRIORS.items())
    pairs = [(frozenset(pair), PRIORS[pair[0]] * PRIORS[pair[1]]) for pair in itertools.combinations(PRIORS, 2)]
    both = sum(chance for _, chance in pairs)
    yield from ((pair, 0.2 * chance / both) for pair, chance in pairs)


def truly_bad(test: str, faults: frozenset[str]) -> float:
    """Chance that the test truly shows bad: the worse of the faults that have a row of their own."""
    rows = [SHOWS[test][fault] for fault in faults if fault in SHOWS[test]]
    return 1.0 - float(np.prod([1.0 - p for p in rows])) if rows else OTHERWISE[test]


def told(seen: str, shows: str) -> float:
    return 1.0 - WRONG if seen == shows else WRONG


def test_a_second_look_is_reckoned_as_counting_every_case_does() -> None:
    """The car shows the same both times, each time it may be told wrong: to 1e-6, for every pair of looks."""
    network = compile_network(made_up())
    for first, second in itertools.product(("good", "bad"), repeat=2):
        weights = {}
        for faults, prior in by_hand():
            bad = truly_bad("look", faults)
            truth = {"bad": bad, "good": 1.0 - bad}
            weights[faults] = prior * sum(p * told(first, shows) * told(second, shows) for shows, p in truth.items())
        total = sum(weights.values())
        odds = fault_odds(network, believe(network, {"look": first}, {"look": second}))
        step_by_step = see(network, see(network, believe(network, {}), "look", first), "look", second)
        for name in PRIORS:
            wanted = sum(weight for faults, weight in weights.items() if name in faults) / total
            assert odds[name] == pytest.approx(wanted, abs=1e-6)
            assert fault_odds(network, step_by_step)[name] == pytest.approx(wanted, abs=1e-6)


def test_gains_and_wrong_repairs_are_what_counting_every_case_gives() -> None:
    """Bits told by each test and the wrong repairs left after it, by enumeration, to 1e-6."""
    model = made_up()
    network = compile_network(model)
    plan = make_plan(model, network, believe(network, {"volts": "bad"}))
    names = [*PRIORS, NONE_OF_THESE]

    def to_find_first(weights: dict[frozenset[str], float]) -> list[float]:
        found = dict.fromkeys(names, 0.0)
        for faults, weight in weights.items():
            for name in faults or {NONE_OF_THESE}:
                found[name] += weight / max(1, len(faults))
        return list(found.values())

    def entropy(odds: list[float]) -> float:
        total = sum(odds)
        return -sum(p / total * np.log2(p / total) for p in odds if p > 0.0)

    def wasted(odds: list[float]) -> float:
        """The best of all orders of repairs with a search after any of them, weighted."""
        cost = {"dead": 20.0 + 2.0 + 30.0, "feed": 22.0, "switch": 22.0}
        chance = dict(zip(names, odds, strict=True))
        order = sorted(PRIORS, key=lambda name: -chance[name] / cost[name])
        best = (sum(odds) - chance[NONE_OF_THESE]) * 100.0
        spent, left = 0.0, sum(odds)
        for name in order:
            left -= chance[name]
            spent += cost[name] * left
            best = min(best, spent + (left - chance[NONE_OF_THESE]) * 100.0)
        return best

    before = {}
    for faults, prior in by_hand():
        bad = truly_bad("volts", faults)
        before[faults] = prior * (bad * (1.0 - WRONG) + (1.0 - bad) * WRONG)
    total = sum(before.values())
    before = {faults: weight / total for faults, weight in before.items()}
    look = next(option for option in plan.options if option.test == "look")
    gain, then = entropy(to_find_first(before)), 0.0
    for result in ("good", "bad"):
        after = {}
        for faults, weight in before.items():
            bad = truly_bad("look", faults)
            after[faults] = weight * (bad * told(result, "bad") + (1.0 - bad) * told(result, "good"))
        share = sum(after.values())
        gain -= share * entropy(to_find_first(after))
        then += wasted(to_find_first(after))
    assert look.gain_bits == pytest.approx(gain, abs=1e-6)
    assert look.then_min == pytest.approx(then, abs=1e-6)
    assert plan.without_min == pytest.approx(wasted(to_find_first(before)), abs=1e-6)


def test_no_order_of_repairs_is_cheaper_than_the_one_reckoned() -> None:
    """Of all 24 orders of four repairs none wastes less than probability over cost (no search)."""
    rng = np.random.default_rng(3)
    for _ in range(50):
        odds, costs = rng.dirichlet(np.ones(4)), rng.uniform(5.0, 90.0, 4)
        found = float(wasted_min(np.append(odds, 0.0)[:, None], costs, 1e9)[0])
        each = []
        for order in itertools.permutations(range(4)):
            left = 1.0 - np.cumsum(odds[list(order)])
            each.append(float((costs[list(order)] * left).sum()))
        assert found == pytest.approx(min(each), abs=1e-6)


def test_a_repair_that_did_not_help_leaves_what_counting_leaves() -> None:
    """That fault alone is out; of two faults the other is left."""
    network = compile_network(made_up())
    odds = fault_odds(network, repaired(network, believe(network, {}), "dead"))
    left: dict[str, float] = dict.fromkeys([*PRIORS, NONE_OF_THESE], 0.0)
    for faults, prior in by_hand():
        if faults == {"dead"}:
            continue
        for name in (faults - {"dead"}) or {NONE_OF_THESE}:
            left[name] += prior
    total = sum(prior for faults, prior in by_hand() if faults != {"dead"})
    assert odds["dead"] == pytest.approx(0.0, abs=1e-9)
    for name, chance in left.items():
        assert odds[name] == pytest.approx(chance / total, abs=1e-6)


def test_what_is_forbidden_or_cannot_be_done_is_never_planned(shipped: Reasoner) -> None:
    """Neither a forbidden test nor one that nobody asks stands among the options; minutes of the bay count."""
    model, network = shipped.model, shipped.network
    belief = believe(network, {})
    free = make_plan(model, network, belief)
    assert free.act is Act.TEST
    without = make_plan(model, network, belief, ready=Readiness(forbidden=frozenset({free.name})))
    assert free.name not in [option.test for option in without.options]
    few = make_plan(model, network, belief, ready=Readiness(among={"codes", "spark-check"}))
    assert {option.test for option in few.options} <= {"codes", "spark-check"}
    dear = make_plan(model, network, belief, ready=Readiness(extra_min={free.name: 500.0}))
    assert dear.name != free.name


def test_a_sure_fault_is_repaired_and_a_dear_one_is_not_guessed(shipped: Reasoner) -> None:
    """A start on another key ends testing; a timing belt is not opened at odds of one in twenty."""
    model, network = shipped.model, shipped.network
    sure = make_plan(model, network, believe(network, {"security-lamp": "on", "other-key": "starts"}))
    assert (sure.act, sure.name) == (Act.REPAIR, "security")
    none_left = make_plan(model, network, believe(network, {}), ready=Readiness(among=frozenset()))
    assert none_left.act is not Act.TEST
    assert none_left.name != "timing-slipped"
    assert len(repair_costs(model)) == len(model.faults)


def test_a_true_start_excludes_the_other_single_faults(shipped: Reasoner) -> None:
    """A cure is no noisy test: what it cured has at least 95 %, all other single faults together less than 5 %."""
    for evidence, fault in (
        ({"security-lamp": "on", "other-key": "starts"}, "security"),
        ({"fuel-level": "empty", "fresh-fuel": "starts"}, "empty-tank"),
        ({"air-path": "blocked", "duct-off": "starts"}, "air-blocked"),
        ({"clamps": "loose", "voltage-drop": "ground", "clean-clamps": "starts"}, "bad-connection"),
    ):
        odds = fault_odds(shipped.network, believe(shipped.network, evidence))
        assert odds[fault] >= 0.95, (fault, odds[fault])


def test_a_fault_that_comes_and_goes_is_not_ruled_out_by_one_good_test(shipped: Reasoner) -> None:
    """Died hot and shows nothing now: a crank sensor stays well above what it would have if it could not rest."""
    evidence = {"how-it-stopped": "hot", "crank-signal": "shown", "crank-sensor-output": "there"}
    resting = fault_odds(shipped.network, believe(shipped.network, evidence))["crank-sensor"]
    always = replace(shipped.model, faults=tuple(replace(fault, comes_and_goes=0.0) for fault in shipped.model.faults))
    network = compile_network(always)
    assert resting > 5 * fault_odds(network, believe(network, evidence))["crank-sensor"]


def test_what_is_foreseen_once_serves_every_plan_from_that_belief(shipped: Reasoner) -> None:
    """A plan among some tests, made of what was looked ahead for all, is the plan that looks ahead by itself."""
    model, network = shipped.model, shipped.network
    belief = believe(network, {"fuel-level": "plenty", "pump-prime": "heard"})
    known = foresee(model, network, belief)
    for among in ({"codes", "spark-check", "fuel-pressure"}, {"compression"}, set[str]()):
        ready = Readiness(among=among)
        by_itself = make_plan(model, network, belief, ready=ready)
        given = make_plan(model, network, belief, ready=ready, foreseen=known)
        assert (given.act, given.name) == (by_itself.act, by_itself.name)
        assert [option.test for option in given.options] == [option.test for option in by_itself.options]
        assert [option.gain_bits for option in given.options] == pytest.approx(
            [option.gain_bits for option in by_itself.options], abs=1e-9
        )
        assert {option.test for option in given.options} <= among

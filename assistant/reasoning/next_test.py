"""Which test pays best now: expected information per minute, looking two tests ahead, safety first.

Information gain is the expected drop in entropy (bits) of the fault to find first: of two at once, either.
Source: de Kleer & Williams 1987 (expected entropy picks the next probe). The score of a test is the best rate in bits
per minute that it, and the best test after each of its results, can reach together: so a set-up that two tests share,
and a check that opens the way to another, count.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.procedure.model import Duty
from assistant.reasoning.costs import Situation, allowed, do_test, minutes_for
from assistant.reasoning.model import Model, Variable
from assistant.reasoning.network import Array, Network, split_by_fault
from assistant.reasoning.posterior import Belief, joint_with

KEPT_MASS = 0.99
"""Two steps ahead only hypotheses that hold this much of the probability are looked at; gains of one step are exact."""
MOST_KEPT = 64
ROUNDS = 4
"""Rounds of Dinkelbach's method for the best ratio; it settles in two or three."""
LOOKED_BEHIND = 12
"""So many first tests are looked behind; the score of others is their own rate, which is never above the best."""
LEAST_MINUTES = 0.05
"""A test that costs nothing would have no rate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One test that may be done now. `score`: bits per minute over this test and the best one after it."""

    test: str
    gain_bits: float
    cost_min: float
    score: float


def rank_tests(
    model: Model,
    network: Network,
    belief: Belief,
    situation: Situation | None = None,
    duty: Duty | None = None,
    *,
    among: Collection[str] | None = None,
) -> tuple[Choice, ...]:
    """Every test, `among` these where they are given, that may safely be done now and is not yet seen, the best first.

    What is not among them is not looked ahead to either: nobody would do it.
    """
    situation, duty = situation or Situation(), duty or Duty()
    unseen = tuple(
        test for test in model.tests if test.id not in belief.evidence and (among is None or test.id in among)
    )
    now = np.array([allowed(test, belief.evidence) for test in unseen], dtype=bool)
    if not now.any() or not belief.possible:
        return ()
    gains = {test.id: gain_bits(network, belief, test.id) for test, may in zip(unseen, now, strict=True) if may}
    costs = {
        test.id: max(LEAST_MINUTES, minutes_for(model, test, situation, duty))
        for test, may in zip(unseen, now, strict=True)
        if may
    }
    scores = {name: gains[name] / costs[name] for name in costs}
    firsts = _promising(model, gains, scores)
    ahead = _Ahead(network, belief, unseen, firsts)
    for name in firsts:
        later = _costs_after(model, model.test(name), unseen, situation, duty)
        open_then = _open_after(model.test(name), unseen, belief)
        scores[name] = ahead.score(name, gains[name], costs[name], later, open_then)
    choices = [
        Choice(test=name, gain_bits=gains[name], cost_min=costs[name], score=score) for name, score in scores.items()
    ]
    return tuple(sorted(choices, key=lambda choice: (-choice.score, choice.test)))


def worth_it(model: Model, choice: Choice) -> bool:
    """Whether a test tells more than it costs: its rate times the minutes that a bit is worth exceeds one."""
    return choice.score * model.settings.minutes_a_bit > 1.0


def entropy_bits(odds: Array) -> float:
    """Entropy of a distribution in bits."""
    return float(plogp(odds).sum())


def gain_bits(network: Network, belief: Belief, test: str) -> float:
    """Expected drop in the entropy of the fault to find first by seeing `test`; exact.

    Raises KeyError for an unknown test.
    """
    by_value = split_by_fault(network, joint_with(network, belief.weights, test)) / belief.likelihood
    left = plogp(by_value).sum() - plogp(by_value.sum(axis=0)).sum()
    return max(0.0, entropy_bits(split_by_fault(network, belief.hypotheses)) - float(left))


def _promising(model: Model, gains: dict[str, float], rates: dict[str, float]) -> tuple[str, ...]:
    """The tests to look behind: best by rate, best by gain, and all that open the way to others."""
    by_rate = sorted(rates, key=lambda name: -rates[name])[:LOOKED_BEHIND]
    by_gain = sorted(rates, key=lambda name: -gains[name])[: LOOKED_BEHIND // 2]
    openers = {opening.test for test in model.tests if test.work is not None for opening in test.work.opened_by}
    return tuple(name for name in rates if name in by_rate or name in by_gain or name in openers)


class _Ahead:
    """What a second test tells after each result of a first one.

    Results of all unseen tests stand in one row, those of one test side by side from `start[t]` to `start[t + 1]`;
    those of the first tests in another row, at `mine[name]`. Gains and what is left are in bits, times the chance
    of the first result.
    """

    def __init__(self, network: Network, belief: Belief, unseen: tuple[Variable, ...], firsts: tuple[str, ...]) -> None:
        kept = _kept(belief)
        shape = belief.weights.shape[1:]
        weights = (belief.weights[kept] / belief.weights[kept].sum()).reshape(len(kept), -1)
        tables = {test.id: _table_on(network, test.id, kept, shape) for test in unseen}
        self.mine, width = {}, 0
        for name in firsts:
            self.mine[name] = slice(width, width + tables[name].shape[-1])
            width += tables[name].shape[-1]
        first = weights[:, :, None] * np.concatenate([tables[name] for name in firsts], axis=-1)
        second = np.concatenate(list(tables.values()), axis=-1)
        start = np.cumsum([0, *(table.shape[-1] for table in tables.values())])
        single = first.sum(axis=1)
        # Given the hypothesis, a test that looks at no core variable is independent of every other. Single precision
        # in what follows: it is fast, and it only ranks.
        under = (weights[:, :, None] * second).sum(axis=1) / weights.sum(axis=1)[:, None]
        pair = (single[:, :, None] * under[:, None, :]).astype(np.float32)
        rows = _on_core(network, firsts, tables)
        columns = _on_core(network, tuple(tables), tables)
        pair[:, rows[:, None], columns] = np.matmul(
            first[:, :, rows].transpose(0, 2, 1).astype(np.float32), second[:, :, columns].astype(np.float32)
        )
        # From hypotheses to the fault to find first, which is what the bits are about.
        first_fault = np.zeros((len(network.faults) + 1, len(kept)))
        for ends in network.holds[:, kept]:
            first_fault[ends, np.arange(len(kept))] += 0.5
        first_fault = first_fault[first_fault.any(axis=1)]
        pair = np.tensordot(first_fault.astype(np.float32), pair, axes=1)
        single = first_fault @ single
        self.chance: Array = single.sum(axis=0)
        self.left_one: Array = plogp(single).sum(axis=0) - plogp(self.chance)
        two = plogp(pair).sum(axis=0) - plogp(pair.sum(axis=0))
        self.left_two: Array = np.add.reduceat(two, start[:-1], axis=1)

    def score(self, test: str, gain: float, cost: float, later: Array, open_then: NDArray[np.bool_]) -> float:
        """Best bits per minute of `test` followed, after each result, by the best open test or by none.

        `later`: minutes of each second test, (tests,). `open_then`: which may follow each result, (results, tests).
        """
        mine = self.mine[test]
        second_gain = np.where(open_then, self.left_one[mine][:, None] - self.left_two[mine], -np.inf)
        second_cost = self.chance[mine][:, None] * later
        rate = gain / cost
        for _ in range(ROUNDS):
            best = np.argmax(second_gain - rate * second_cost, axis=1)
            rows = np.arange(len(best))
            more, longer = second_gain[rows, best], second_cost[rows, best]
            taken = more > rate * longer
            rate = max(rate, float((gain + more[taken].sum()) / (cost + longer[taken].sum())))
        return rate


def _on_core(network: Network, names: tuple[str, ...], tables: dict[str, Array]) -> NDArray[np.int64]:
    """Where the results stand, in a row of `names`, of tests that look at a core variable or are one."""
    looks = [
        name in network.core or bool(network.nodes[name].parents)
        for name in names
        for _ in range(tables[name].shape[-1])
    ]
    return np.flatnonzero(looks)


def _kept(belief: Belief) -> NDArray[np.int64]:
    order = np.argsort(-belief.hypotheses)[:MOST_KEPT]
    enough = int(np.searchsorted(np.cumsum(belief.hypotheses[order]), KEPT_MASS)) + 1
    return order[:enough]


def _table_on(network: Network, name: str, kept: NDArray[np.int64], shape: tuple[int, ...]) -> Array:
    """P(value | hypothesis, core) for the kept hypotheses, shape (kept, core combinations, values)."""
    node = network.nodes[name]
    values = len(node.values)
    if name in network.core:
        axis = network.core.index(name)
        table = np.eye(values).reshape([1, *(values if other == axis else 1 for other in range(len(shape))), values])
        table = np.broadcast_to(table, (len(kept), *shape, values))
    else:
        table = np.broadcast_to(node.table[kept], (len(kept), *shape, values))
    return table.reshape(len(kept), -1, values)


def _costs_after(
    model: Model, first: Variable, unseen: tuple[Variable, ...], situation: Situation, duty: Duty
) -> Array:
    then = do_test(model, first, situation, duty)
    return np.array([max(LEAST_MINUTES, minutes_for(model, test, then, duty)) for test in unseen])


def _open_after(first: Variable, unseen: tuple[Variable, ...], belief: Belief) -> NDArray[np.bool_]:
    then = [{**belief.evidence, first.id: value.id} for value in first.values]
    return np.array(
        [[test.id != first.id and allowed(test, evidence) for test in unseen] for evidence in then], dtype=bool
    )


def plogp(odds: NDArray[np.floating[Any]]) -> NDArray[np.floating[Any]]:
    """-p log2 p, 0 where p is 0."""
    return np.asarray(-odds * np.log2(np.maximum(odds, np.finfo(np.float32).tiny)))

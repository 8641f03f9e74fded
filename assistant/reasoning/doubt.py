"""Which result is likeliest to have been told wrong, and which test settles that soonest.

Each test has a share of results that are seen or told wrong (`Node.wrong`). So the network holds one more variable for
each result seen, whether it was told wrong, and what it says follows from the evidence as all else does.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from assistant.reasoning.network import Array, Network, joint_of
from assistant.reasoning.planner import Option
from assistant.reasoning.posterior import Belief

TINY = float(np.finfo(np.float64).tiny)


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A result in doubt. `odds`: that it was told wrong; `settles`: what tells most a minute whether it was."""

    test: str
    odds: float
    settles: Option


def doubt(network: Network, belief: Belief, options: Iterable[Option]) -> Doubt | None:
    """The result likeliest to have been told wrong, and which of the options settles it soonest; None where none
    can be wrong, or no option tells anything of it."""
    odds = {name: wrong_odds(network, belief, name) for name in belief.evidence}
    suspect = max(odds, key=lambda name: odds[name], default=None)
    if suspect is None or odds[suspect] <= 0.0:
        return None
    rates = {option: settling_bits(network, belief, suspect, option.test) / option.counted_min for option in options}
    best = max(rates, key=lambda option: rates[option], default=None)
    if best is None or rates[best] <= 0.0:
        return None
    return Doubt(test=suspect, odds=odds[suspect], settles=best)


def wrong_odds(network: Network, belief: Belief, name: str) -> float:
    """Probability that the first result of a test was told wrong, given all that was seen. Raises KeyError where it was
    not done."""
    share = _wrong_share(network, belief, name)
    return float((belief.weights * share).sum() / max(float(belief.weights.sum()), TINY))


def settling_bits(network: Network, belief: Belief, suspect: str, test: str) -> float:
    """What `test` is expected to tell, in bits, of whether the result of `suspect` was told wrong; a second look where
    it was done. Raises KeyError for a suspect that was not done, or a test that the network lacks."""
    share = _wrong_share(network, belief, suspect)
    node = network.nodes[test]
    if test == suspect:
        first = node.values.index(belief.evidence[test])
        likely = np.maximum(node.table[..., first], TINY)
        by_value = (belief.weights / likely)[..., None] * node.shown * node.told(first)
        found = [by_value * node.told(value) for value in range(len(node.values))]
        right = np.array([each[..., first].sum() for each in found])
        joint = np.array([np.array([each.sum() for each in found]) - right, right])
    else:
        joint = np.array([_results(network, belief, test, belief.weights * each) for each in (share, 1.0 - share)])
    joint = joint.clip(min=0.0) / max(float(joint.sum()), TINY)
    return max(0.0, _bits(joint.sum(axis=0)) + _bits(joint.sum(axis=1)) - _bits(joint))


def _wrong_share(network: Network, belief: Belief, name: str) -> Array:
    """P(first result told wrong | hypothesis, core, what was told of this test); broadcasts against the joint."""
    node = network.nodes[name]
    first = node.values.index(belief.evidence[name])
    by_value = node.shown * node.told(first)
    if name in belief.again:
        by_value = by_value * node.told(node.values.index(belief.again[name]))
    total = by_value.sum(axis=-1)
    return np.asarray((total - by_value[..., first]).clip(min=0.0) / np.maximum(total, TINY))


def _results(network: Network, belief: Belief, test: str, weights: Array) -> Array:
    """Weight of each result of a test that is not the suspect, shape (values,); of a second look where it was done."""
    node, seen = network.nodes[test], belief.evidence.get(test)
    table = None if seen is None else network.once_more(test, seen, anew=test in belief.before)
    return np.asarray(joint_of(network.core, weights, node, table).sum(axis=0))


def _bits(odds: Array) -> float:
    return float(-(odds * np.log2(np.maximum(odds, TINY))).sum())

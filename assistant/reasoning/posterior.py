"""Exact posteriors: what the findings so far say about every fault and every variable."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.network import Array, Network, joint_of, sum_by_fault

Evidence = Mapping[str, str]
"""Variable -> value seen. To strike a finding leave it out; to replace it put another value: nothing else is kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What is believed after the evidence.

    `weights`: joint of hypothesis, core and evidence, shape (hypotheses, core sizes …). `likelihood`: P(evidence).
    `hypotheses`: posterior of each hypothesis, shape (hypotheses,). Where `likelihood` is 0 the evidence cannot be
    under this model and `hypotheses` is the prior. `again`: what a second look at some of the evidence showed.
    `before`: the tests seen before the last repair that did not cure.
    """

    evidence: Evidence
    weights: Array
    likelihood: float
    hypotheses: Array
    again: Evidence = field(default_factory=dict)
    before: frozenset[str] = frozenset()

    @property
    def possible(self) -> bool:
        """Whether the evidence can be under this model at all."""
        return self.likelihood > 0.0


def believe(network: Network, evidence: Evidence, again: Evidence | None = None) -> Belief:
    """The belief after all of `evidence`, and a second look `again` at some of it: the car shows the same then, but may
    be told wrong anew. Raises KeyError for a variable or value that the network lacks."""
    seen = [likelihood_of(network, name, value) for name, value in evidence.items()]
    if again:
        seen += [
            likelihood_of(network, name, again[name], after=value) for name, value in evidence.items() if name in again
        ]
    weights = network.joint.copy()
    for each in _alike(seen).values():
        weights *= _multiplied(each)
    return _belief(network, weights, dict(evidence), dict(again or {}), frozenset())


def without_each(network: Network, evidence: Evidence) -> dict[str, Array]:
    """For each finding the joint of the hypothesis and all other findings, shape (hypotheses,).

    Nothing is divided, so it holds too where a finding cannot be. Raises KeyError for a variable or value that the
    network lacks.
    """
    likely = {name: likelihood_of(network, name, value) for name, value in evidence.items()}
    groups = _alike(likely.values())
    beside = _each_left_out(network.joint, [_multiplied(group) for group in groups.values()])
    found: dict[str, Array] = {}
    for (shape, group), others in zip(groups.items(), beside, strict=True):
        # Only what the group looks at matters to it: all else is summed out once.
        rest = others.sum(axis=tuple(axis for axis, size in enumerate(shape) if size == 1 and axis), keepdims=True)
        names = [name for name, each in likely.items() if each.shape == shape]
        for name, joint in zip(names, _each_left_out(rest, group), strict=True):
            found[name] = joint.reshape(len(network.prior), -1).sum(axis=1)
    return {name: found[name] for name in evidence}


def _alike(likely: Iterable[Array]) -> dict[tuple[int, ...], list[Array]]:
    """Likelihoods by what they look at, their shape: most look at the hypothesis alone, so their product is short."""
    found: dict[tuple[int, ...], list[Array]] = {}
    for each in likely:
        found.setdefault(each.shape, []).append(each)
    return found


def _multiplied(factors: Sequence[Array]) -> Array:
    """Their product, at least one."""
    return reduce(np.multiply, factors)


def _each_left_out(first: Array, factors: Sequence[Array]) -> list[Array]:
    """The product of `first` and all factors but one, for each of them."""
    ahead = list(accumulate(factors[:-1], np.multiply, initial=first)) if factors else []
    found: list[Array] = []
    behind: Array | None = None
    for factor, before in zip(reversed(factors), reversed(ahead), strict=True):
        found.append(before if behind is None else before * behind)
        behind = factor if behind is None else behind * factor
    return found[::-1]


def see(network: Network, belief: Belief, test: str, result: str) -> Belief:
    """The belief after one more result, a second look where the test was done: faster than from the beginning, and it
    keeps what repairs have excluded. Raises KeyError for an unknown test or result."""
    first, before = belief.evidence.get(test), belief.before
    weights = belief.weights * likelihood_of(network, test, result, after=first, anew=test in before)
    if first is None:
        return _belief(network, weights, {**belief.evidence, test: result}, belief.again, before)
    return _belief(network, weights, belief.evidence, {**belief.again, test: result}, before)


def without(network: Network, belief: Belief, name: str) -> Belief:
    """The belief as it would be had a test not been done; what its result alone excludes stays excluded.

    Raises KeyError where it was not done."""
    first = belief.evidence[name]
    likely = likelihood_of(network, name, first)
    if name in belief.again:
        likely = likely * likelihood_of(network, name, belief.again[name], after=first, anew=name in belief.before)
    weights = belief.weights / np.where(likely > 0.0, likely, 1.0)
    evidence = {test: value for test, value in belief.evidence.items() if test != name}
    again = {test: value for test, value in belief.again.items() if test != name}
    return _belief(network, weights, evidence, again, belief.before)


def repaired(network: Network, belief: Belief, fault: str) -> Belief:
    """The belief once `fault` was repaired and the car still does not run: it was not that, or not that alone.

    What two faults leave behind is one of them, with conditions as that one makes them; a test that is done once more
    is its first look at that one, so every test may be. Raises KeyError for an unknown fault; a search (none of these)
    leaves nothing.
    """
    if fault not in (*network.faults, NONE_OF_THESE):
        raise KeyError(fault)
    number = (*network.faults, NONE_OF_THESE).index(fault)
    weights = belief.weights.copy()
    first, second = network.holds
    alone: NDArray[np.bool_] = (first == number) & (second == number)
    weights[alone] = 0.0
    both = np.flatnonzero(((first == number) | (second == number)) & ~alone)
    for row in both:
        other = int(second[row] if first[row] == number else first[row])
        weights[network.left][other] += float(weights[row].sum()) * network.core_given[1 + other]
        weights[row] = 0.0
    return _belief(network, weights, belief.evidence, {}, frozenset(belief.evidence))


def _belief(network: Network, weights: Array, evidence: Evidence, again: Evidence, before: frozenset[str]) -> Belief:
    by_hypothesis = weights.reshape(len(network.prior), -1).sum(axis=1)
    likelihood = float(by_hypothesis.sum())
    odds = by_hypothesis / likelihood if likelihood > 0.0 else network.prior
    return Belief(
        evidence=evidence, weights=weights, likelihood=likelihood, hypotheses=odds, again=again, before=before
    )


def fault_odds(network: Network, belief: Belief) -> dict[str, float]:
    """Probability that each fault is there, alone or with another; last that none of these is. Most likely first."""
    return odds_of(network, belief.hypotheses)


def odds_of(network: Network, hypotheses: Array) -> dict[str, float]:
    """The same of the probability of each hypothesis, shape (hypotheses,)."""
    found = sum_by_fault(network, hypotheses)
    named = zip((*network.faults, NONE_OF_THESE), found.tolist(), strict=True)
    return dict(sorted(named, key=lambda pair: -pair[1]))


def value_odds(network: Network, belief: Belief, name: str) -> dict[str, float]:
    """Probability of each value of a variable, given the evidence. Raises KeyError for an unknown variable."""
    if name in belief.evidence:
        return {value: float(value == belief.evidence[name]) for value in network.nodes[name].values}
    weights = belief.weights if belief.possible else network.joint
    found = joint_with(network, weights, name).sum(axis=0)
    return dict(zip(network.nodes[name].values, (found / found.sum()).tolist(), strict=True))


def joint_with(network: Network, weights: Array, name: str) -> Array:
    """Joint of the hypothesis and a variable, shape (hypotheses, values), from a joint of hypothesis and core.

    A leaf that is already in the evidence counts as a second, independent look.
    """
    return joint_of(network.core, weights, network.nodes[name])


def likelihood_of(network: Network, name: str, value: str, *, after: str | None = None, anew: bool = False) -> Array:
    """Of this value, to multiply the joint by; of a second look, where `after` was seen first, `anew` where a repair
    lies between. Raises KeyError for what the network lacks."""
    node = network.nodes[name]
    for known in (value, after):
        if known is not None and known not in node.values:
            raise KeyError(known)
    number = node.values.index(value)
    if after is not None:
        return np.asarray(network.once_more(name, after, anew=anew)[..., number])
    return _only(network, name, number) if name in network.core else np.asarray(node.table[..., number])


def _only(network: Network, name: str, number: int) -> Array:
    """One where the core variable has that value, else zero; broadcasts against the joint."""
    axis = network.core.index(name)
    shape = [1] * (1 + len(network.core))
    shape[1 + axis] = len(network.nodes[name].values)
    only = np.zeros(shape[1 + axis])
    only[number] = 1.0
    return only.reshape(shape)

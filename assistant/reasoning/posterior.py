"""Exact posteriors: what the findings so far say about every fault and every variable."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.network import Array, Network, sum_by_fault

Evidence = Mapping[str, str]
"""Variable -> value seen. To strike a finding leave it out; to replace it put another value: nothing else is kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What is believed after the evidence.

    `weights`: joint of hypothesis, core and evidence, shape (hypotheses, core sizes …). `likelihood`: P(evidence).
    `hypotheses`: posterior of each hypothesis, shape (hypotheses,). Where `likelihood` is 0 the evidence cannot be
    under this model and `hypotheses` is the prior. `again`: what a second look at some of the evidence showed.
    """

    evidence: Evidence
    weights: Array
    likelihood: float
    hypotheses: Array
    again: Evidence = field(default_factory=dict)

    @property
    def possible(self) -> bool:
        """Whether the evidence can be under this model at all."""
        return self.likelihood > 0.0


def believe(network: Network, evidence: Evidence, again: Evidence | None = None) -> Belief:
    """The belief after all of `evidence`, and a second look `again` at some of it: the car shows the same then, but may
    be told wrong anew. Raises KeyError for a variable or value that the network lacks."""
    weights = network.joint.copy()
    for name, value in evidence.items():
        node = network.nodes[name]
        if value not in node.values:
            raise KeyError(value)
        number = node.values.index(value)
        weights *= _only(network, name, number) if name in network.core else node.table[..., number]
        if again and name in again:
            if again[name] not in node.values:
                raise KeyError(again[name])
            weights *= node.again(number)[..., node.values.index(again[name])]
    by_hypothesis = weights.reshape(len(network.prior), -1).sum(axis=1)
    likelihood = float(by_hypothesis.sum())
    posterior = by_hypothesis / likelihood if likelihood > 0.0 else network.prior
    return Belief(
        evidence=dict(evidence),
        weights=weights,
        likelihood=likelihood,
        hypotheses=posterior,
        again=dict(again or {}),
    )


def fault_odds(network: Network, belief: Belief) -> dict[str, float]:
    """Probability that each fault is there, alone or with another; last that none of these is. Most likely first."""
    found = sum_by_fault(network, belief.hypotheses)
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
    node = network.nodes[name]
    wanted = (name,) if name in network.core else node.parents
    # What the variable does not look at is summed out first: that is the whole of the variable elimination.
    rest = tuple(1 + axis for axis, other in enumerate(network.core) if other not in wanted)
    weights = weights.sum(axis=rest, keepdims=True) if rest else weights
    if name in network.core:
        return weights.reshape(len(weights), len(node.values))
    return np.asarray((weights[..., None] * node.table).reshape(len(weights), -1, len(node.values)).sum(axis=1))


def _only(network: Network, name: str, number: int) -> Array:
    """One where the core variable has that value, else zero; broadcasts against the joint."""
    axis = network.core.index(name)
    shape = [1] * (1 + len(network.core))
    shape[1 + axis] = len(network.nodes[name].values)
    only = np.zeros(shape[1 + axis])
    only[number] = 1.0
    return only.reshape(shape)

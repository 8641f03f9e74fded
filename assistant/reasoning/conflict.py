"""Results that do not fit together: noticed, and traced to the finding to check again.

Measure: conf(e1 … en) = log2( P(e1) · … · P(en) / P(e1, …, en) ). Results of one coherent case support each other, so
the measure is negative; well above zero they contradict each other, unless a rare fault explains them: hypothesis h
may do so where log2( P(h | e) / P(h) ) reaches the conflict.
Source: Jensen and Andersen's conflict measure, as told in Jensen & Nielsen, Bayesian Networks and Decision Graphs
(2007), from memory. Two faults at once are so rare that they would explain anything away; so here a hypothesis
explains only what it makes likely by itself, finding by finding (judgement).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.reasoning.network import Network
from assistant.reasoning.posterior import Belief, Evidence, believe, value_odds

CONFLICT_BITS = 1.0
"""Above this a conflict is told: the results together are half as likely as apart. Judgement."""

LIKELY = 0.15
"""A finding less likely than this under a hypothesis is not explained by it. Judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Results that do not fit together. `bits`: the measure; `suspect`: the finding to check again."""

    bits: float
    suspect: str


def conflict_bits(network: Network, evidence: Evidence) -> float:
    """The conflict measure in bits; 0 for fewer than two findings, infinite for what cannot be."""
    if len(evidence) < 2:
        return 0.0
    apart = [believe(network, {name: value}).likelihood for name, value in evidence.items()]
    together = believe(network, evidence).likelihood
    if min(apart) <= 0.0 or together <= 0.0:
        return float("inf")
    return float(np.log2(apart).sum() - np.log2(together))


def find_conflict(network: Network, belief: Belief) -> Conflict | None:
    """The conflict in the evidence, or None where it fits together or one hypothesis explains it."""
    evidence = belief.evidence
    bits = conflict_bits(network, evidence)
    if bits <= CONFLICT_BITS or (belief.possible and _explained(network, belief, bits)):
        return None
    left = {name: conflict_bits(network, _without(evidence, name)) for name in evidence}
    suspect = min(left, key=lambda name: (round(left[name], 6), expected(network, evidence, name)))
    return Conflict(bits=bits, suspect=suspect)


def expected(network: Network, evidence: Evidence, name: str) -> float:
    """How likely the finding `name` was, given all the others: low marks the odd one out."""
    return value_odds(network, believe(network, _without(evidence, name)), name)[evidence[name]]


def _without(evidence: Evidence, name: str) -> dict[str, str]:
    return {other: evidence[other] for other in evidence if other != name}


def _explained(network: Network, belief: Belief, bits: float) -> bool:
    """Whether the likeliest hypothesis has gained as many bits as the conflict has and makes every finding likely."""
    best = int(np.argmax(belief.hypotheses))
    if np.log2(belief.hypotheses[best] / network.prior[best]) < bits:
        return False
    for name, value in belief.evidence.items():
        found = believe(network, {name: value})
        if found.likelihood * found.hypotheses[best] / network.prior[best] < LIKELY:
            return False
    return True

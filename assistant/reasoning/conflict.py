"""Results that do not fit together: noticed, and traced to the finding to check again.

Measure: conf(e1 … en) = log2( P(e1) · … · P(en) / P(e1, …, en) ). Results of one coherent case support each other, so
the measure is negative; well above zero they contradict each other. One finding against all others is measured alike:
log2( P(ei) / P(ei | the others) ); else a crowd of findings that agree would hide the one that does not. A hypothesis h
may explain a conflict where log2( P(h | e) / P(h) ) reaches it.
Source: Jensen and Andersen's conflict measure, as told in Jensen & Nielsen, Bayesian Networks and Decision Graphs
(2007), from memory. Two faults at once are so rare that they would explain anything away; so here a hypothesis
explains only what it makes likely by itself, finding by finding (judgement). Which finding to check again follows
from the likeliest hypothesis, once it is likelier than not: the one that it explains least. Measured against all others
alone the strongest sign of that very hypothesis would be the suspect (judgement).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.reasoning.network import Network
from assistant.reasoning.posterior import Belief, Evidence, believe, fault_odds, without, without_each

CONFLICT_BITS = 1.0
"""Above this a conflict is told: the results together are half as likely as apart. Judgement."""

ALONE_BITS = 2.0
"""Above this one finding stands against all others: they make it four times less likely than it was. Judgement."""

LIKELY = 0.15
"""A finding less likely than this under a hypothesis is not explained by it. Judgement."""

STANDS = 0.5
"""From these odds of a fault on the likeliest hypothesis is what the findings are held against. Judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Results that do not fit together. `bits`: the measure; `suspect`: the finding to check again."""

    bits: float
    suspect: str


def conflict_bits(network: Network, evidence: Evidence) -> float:
    """The conflict measure in bits; 0 for fewer than two findings, infinite for what cannot be."""
    if len(evidence) < 2:
        return 0.0
    apart = [alone_odds(network, name, value) for name, value in evidence.items()]
    together = believe(network, evidence).likelihood
    if min(apart) <= 0.0 or together <= 0.0:
        return float("inf")
    return float(np.log2(apart).sum() - np.log2(together))


def against_others_bits(network: Network, evidence: Evidence) -> dict[str, float]:
    """How far each finding stands against all others, in bits; infinite where they exclude it.

    The conflict of all findings falls by just so much when this one is struck.
    """
    together = believe(network, evidence).likelihood
    found: dict[str, float] = {}
    for name, others in without_each(network, evidence).items():
        total, before = float(others.sum()), alone_odds(network, name, evidence[name])
        excluded = together <= 0.0 or before <= 0.0
        found[name] = float("inf") if excluded else float(np.log2(before) + np.log2(total) - np.log2(together))
    return found


def alone_odds(network: Network, name: str, value: str) -> float:
    """P(value) before anything was seen. Raises KeyError for what the network lacks."""
    values = network.nodes[name].values
    if value not in values:
        raise KeyError(value)
    return float(network.alone[name][values.index(value)])


def find_conflict(network: Network, belief: Belief) -> Conflict | None:
    """The conflict in the evidence, or None where it fits together or one hypothesis explains it. That the engine runs
    now fits whatever was seen before: what comes and goes does so, and here a fault is there or away."""
    for name in [name for name, value in belief.evidence.items() if value == network.nodes[name].passing]:
        belief = without(network, belief, name)
    evidence = belief.evidence
    if len(evidence) < 2:
        return None
    alone = against_others_bits(network, evidence)
    odd = max(alone, key=lambda name: alone[name])
    bits = conflict_bits(network, evidence)
    if bits <= CONFLICT_BITS and alone[odd] <= ALONE_BITS:
        return None
    bits = max(bits, alone[odd])
    if not belief.possible:
        return Conflict(bits=bits, suspect=odd)
    best, likely = _under_the_likeliest(network, belief)
    gained = np.log2(belief.hypotheses.max() / network.prior[best])
    if gained >= bits and min(likely.values()) >= LIKELY:
        return None
    if max(fault_odds(network, belief).values()) > STANDS:
        odd = min(likely, key=lambda name: likely[name] / alone_odds(network, name, evidence[name]))
    return Conflict(bits=bits, suspect=odd)


def _under_the_likeliest(network: Network, belief: Belief) -> tuple[int, dict[str, float]]:
    """The likeliest hypothesis, and how likely each finding is under it by itself."""
    best = int(np.argmax(belief.hypotheses))
    if best >= network.left.start:  # as likely before anything was seen as that fault by itself
        best = 1 + int(network.holds[0, best])
    likely = {}
    for name, value in belief.evidence.items():
        found = believe(network, {name: value})
        likely[name] = float(found.likelihood * found.hypotheses[best] / network.prior[best])
    return best, likely

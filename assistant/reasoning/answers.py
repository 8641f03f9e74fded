"""Opinions in spoken words: at most two short sentences each. Pure functions of opinion and evidence."""

from __future__ import annotations

import numpy as np

from assistant.english import reasoned
from assistant.reasoning.conflict import Conflict, find_conflict
from assistant.reasoning.model import NONE_OF_THESE, Model
from assistant.reasoning.network import Network
from assistant.reasoning.posterior import Belief, fault_odds, odds_of, without_each
from assistant.reasoning.reasoner import Opinion, Reasoner
from assistant.reasoning.standing import LEAST_PROVED

TELLING_BITS = 0.5
"""A finding that moves a fault by less is not named as a reason. Judgement."""
MOST_WHY = 2
"""So many findings are named to who asks why."""

TINY = 1e-12


def say_odds(probability: float) -> str:
    """A probability as a mechanic would say it, coarse on purpose: the numbers behind it are mostly judgement."""
    if probability >= LEAST_PROVED:
        return reasoned.ALMOST_CERTAIN
    if probability < 0.05:
        return reasoned.VERY_UNLIKELY
    return reasoned.in_ten(min(round(10 * probability), 9))


def what_do_you_think(reasoner: Reasoner, opinion: Opinion) -> str:
    """The likeliest fault and its odds, and the next one; a conflict comes first."""
    (first, odds), (second, other), *_ = opinion.odds.items()
    say = reasoner.model.say_fault
    most = reasoned.most_likely(say(first), say_odds(odds))
    if opinion.conflict is not None:
        return f"{say_conflict(reasoner, opinion)} {most}"
    if other < 0.05:
        return most
    return f"{most} {reasoned.then(say(second), say_odds(other))}"


def say_conflict(reasoner: Reasoner, opinion: Opinion) -> str:
    """Asks for the finding that fits least to be checked again; empty where all fits."""
    return check_again(reasoner, opinion.conflict) if opinion.conflict else ""


def why(reasoner: Reasoner, opinion: Opinion) -> str:
    """The findings that speak most for the likeliest fault, and the one that speaks most against it."""
    evidence = opinion.belief.evidence
    for_it, against = facts_about(reasoner, opinion.belief, opinion.top)
    if for_it:
        answer = reasoned.because([say_result(reasoner.model, name, evidence[name]) for name in for_it[:MOST_WHY]])
    else:
        answer = reasoned.nothing_points_to(reasoner.model.say_fault(opinion.top))
    if against is not None:
        answer += f" {reasoned.against_it(say_result(reasoner.model, against, evidence[against]))}"
    return answer


def what_speaks_against(reasoner: Reasoner, opinion: Opinion) -> str:
    """What speaks most against the likeliest fault, and which other fault comes next."""
    name = reasoner.model.say_fault(opinion.top)
    _, against = facts_about(reasoner, opinion.belief, opinion.top)
    answer = reasoned.nothing_against(name)
    if against is not None:
        answer = reasoned.against(name, say_result(reasoner.model, against, opinion.belief.evidence[against]))
    odds = fault_odds(reasoner.network, opinion.belief)
    other, chance = next((fault, chance) for fault, chance in odds.items() if fault != opinion.top)
    return f"{answer} {reasoned.next_comes(reasoner.model.say_fault(other), say_odds(chance))}"


def facts_about(reasoner: Reasoner, belief: Belief, fault: str) -> tuple[tuple[str, ...], str | None]:
    """The tests seen that speak for the fault, the strongest first, and the one that speaks most against it."""
    bits = _bits_for(reasoner.network, belief, fault)
    for_it = sorted((name for name in bits if bits[name] >= TELLING_BITS), key=lambda name: -bits[name])
    against = min(bits, key=lambda name: bits[name], default=None)
    return tuple(for_it), against if against is not None and bits[against] <= -TELLING_BITS else None


def news(reasoner: Reasoner, before: Belief, after: Belief) -> str:
    """What is worth saying unasked after a result: that it does not fit, or that it settles the matter; else empty."""
    conflict = find_conflict(reasoner.network, after)
    if conflict is not None:
        known = find_conflict(reasoner.network, before)
        return reasoned.DO_NOT_FIT if known is None else ""
    fault, proved_at = _top(reasoner, after), reasoner.model.settings.proved_at
    odds, earlier = fault_odds(reasoner.network, after), fault_odds(reasoner.network, before)
    if fault == NONE_OF_THESE or odds[fault] < proved_at or earlier[fault] >= proved_at:
        return ""
    return reasoned.prove_it(reasoner.model.say_fault(fault), say_odds(odds[fault]))


def _top(reasoner: Reasoner, belief: Belief) -> str:
    return next(iter(fault_odds(reasoner.network, belief)))


def check_again(reasoner: Reasoner, conflict: Conflict) -> str:
    """Asks for the suspect to be done again."""
    return reasoned.do_again(reasoner.model.test(conflict.suspect).say)


def say_minutes(minutes: float) -> str:
    """So long, as one guesses it, in whole minutes."""
    return reasoned.about_minutes(max(1, round(minutes)))


def say_result(model: Model, test: str, result: str) -> str:
    """The result as a clause: "there is no spark". Raises KeyError for what the model lacks."""
    variable = model.test(test)
    return variable.values[variable.index(result)].say


def _bits_for(network: Network, belief: Belief, fault: str) -> dict[str, float]:
    """How far each finding moves the log-odds of `fault`, given the other findings."""
    after = fault_odds(network, belief)[fault]
    found: dict[str, float] = {}
    for name, others in without_each(network, belief.evidence).items():
        likely = float(others.sum())
        before = odds_of(network, others / likely if likely > 0.0 else network.prior)[fault]
        found[name] = _log_odds(after) - _log_odds(before)
    return found


def _log_odds(chance: float) -> float:
    return float(np.log2((chance + TINY) / (1 - chance + TINY)))

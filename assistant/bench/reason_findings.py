"""What a finding says of made-up cars, held against what was seen of them: nothing unseen claimed, and no speech.

Of each car the sentences for its three likeliest faults, for a finding that names none, and for the repair proposed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.reasoning.findings import MOST_WORDS, say_finding, say_proposal
from assistant.reasoning.model import NONE_OF_THESE, Model
from assistant.reasoning.posterior import Belief, fault_odds
from assistant.reasoning.reasoner import Reasoner
from assistant.reasoning.standing import LEAST_PROVED

MOST_SENTENCES = 3
FAULTS = 3
"""So many of the likeliest faults are told of."""

SENTENCE = re.compile(r"(?<=\.) ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Findings of some cars in words. `findings`: how many; `longest`: words of the longest sentence; `most`: sentences
    of the longest finding; `faulty`: what was claimed unseen, called proved too soon, or said at too great length."""

    cars: int
    findings: int
    longest: int
    most: int
    faulty: tuple[str, ...]


def told_of(reasoner: Reasoner, belief: Belief) -> Told:
    """What is said of one car of which this is believed."""
    odds = fault_odds(reasoner.network, belief)
    likely = [fault for fault in list(odds)[:FAULTS] if fault != NONE_OF_THESE]
    said = [(fault, say_finding(reasoner, belief, fault)) for fault in (*likely, None)]
    said += [(fault, say_proposal(reasoner, belief, fault, 30.0)) for fault in likely[:1]]
    parts = [SENTENCE.split(words) for _, words in said]
    longest = max(len(each.split()) for part in parts for each in part)
    most = max(len(part) for part in parts)
    faulty = [f"{claim}: {words}" for _, words in said for claim in claims_unseen(reasoner.model, belief, words)]
    faulty += [
        f"proved at {odds.get(fault or '', 0.0):.3f}: {words}"
        for fault, words in said
        if words.startswith("Proved") and odds.get(fault or "", 0.0) < LEAST_PROVED
    ]
    if longest > MOST_WORDS or most > MOST_SENTENCES:
        faulty.append(f"{most} sentences, the longest of {longest} words: {said}")
    return Told(cars=1, findings=len(said), longest=longest, most=most, faulty=tuple(faulty))


def together(told: Iterable[Told]) -> Told:
    """The same of all of them."""
    each = tuple(told)
    return Told(
        cars=sum(one.cars for one in each),
        findings=sum(one.findings for one in each),
        longest=max(one.longest for one in each),
        most=max(one.most for one in each),
        faulty=tuple(words for one in each for words in one.faulty),
    )


def claims_unseen(model: Model, belief: Belief, said: str) -> list[str]:
    """Results that the words claim though nobody saw them, and tests told as not done that were done."""
    clauses = {value.say: (test.id, value.id) for test in model.tests for value in test.values}
    seen = {
        one.say for test in model.tests for one in test.values if belief.evidence.get(test.id) == one.id
    }  # some results of several tests are told in the same words
    found = []
    left = said.partition("Not tested: ")[0]
    for clause in sorted(clauses, key=len, reverse=True):
        if re.search(rf"(?:since|,|and|against it,) {re.escape(clause)}(?=[,.;]| and )", left):
            left = left.replace(clause, "")
            if clause not in seen:
                found.append("=".join(clauses[clause]))
    if "Not tested: " in said:
        listed = said.partition("Not tested: ")[2].partition(".")[0]
        done = {test.say for test in model.tests if test.id in belief.evidence}
        found += [name for name in re.split(r", | and ", listed) if name in done]
    return found

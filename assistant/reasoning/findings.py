"""A finding in words, built from what was seen: fault, odds, what speaks for and against it, what was not tested.

At most three sentences of at most `MOST_WORDS` words. Only results that were seen are claimed, and a part is named
alone only where what feeds it was seen good: else it may as well be its supply.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from assistant.english import reasoned
from assistant.reasoning.answers import TINY, check_again, facts_about, say_minutes, say_odds, say_result
from assistant.reasoning.conflict import find_conflict
from assistant.reasoning.costs import allowed
from assistant.reasoning.model import NONE_OF_THESE, Model, Variable
from assistant.reasoning.network import split_by_fault
from assistant.reasoning.next_test import entropy_bits
from assistant.reasoning.planner import foresee
from assistant.reasoning.posterior import Belief, fault_odds
from assistant.reasoning.reasoner import Reasoner
from assistant.reasoning.standing import LEAST_PROVED, Standing, standing_of

OPEN = "open"
"""What a finding calls its fault where the procedure found none: the odds still have a likeliest."""

MOST_WORDS = 40
MOST_FACTS, MOST_FACTS_BRIEFLY = 3, 2
"""So many facts are named that speak for a fault, and one against it."""

DIRECT = 8.0
"""A result that by itself makes a fault so many times likelier, by its odds, is a direct test of it. Judgement."""

MOST_UNTESTED = 2

TELLS_MUCH = 0.2
"""A test that would tell so many bits and was not done is told, whatever it costs. Judgement."""


def finding_stands(reasoner: Reasoner, belief: Belief, finding: str | None) -> Standing:
    """How sure the finding is, by what a procedure calls its fault; None or `OPEN` where it names none."""
    fault = _meant(reasoner.model, finding)
    return standing_of(
        fault_odds(reasoner.network, belief),
        fault,
        proved_at=reasoner.model.settings.proved_at,
        exact=fault == finding,
        fits=find_conflict(reasoner.network, belief) is None,
        direct=fault is not None and _decided(reasoner, belief, fault),
    )


def say_finding(reasoner: Reasoner, belief: Belief, finding: str | None, *, briefly: bool = False) -> str:
    """What was seen makes of the finding, or which fault it leaves where it names none; empty where no odds are
    reckoned for it. `briefly`: beside a finding that names what speaks for it, and what was not tested, by itself."""
    odds = fault_odds(reasoner.network, belief)
    top = next(iter(odds))
    fault, standing = _meant(reasoner.model, finding), finding_stands(reasoner, belief, finding)
    conflict = find_conflict(reasoner.network, belief)
    if standing is Standing.BY_TEST:
        return ""
    about = top if fault is None or standing is Standing.OUTWEIGHED else fault
    opening = _opening(reasoner, odds, fault=fault, standing=standing, fits=conflict is None)
    said = _with_facts(reasoner, belief, opening, about, most=0 if briefly and about == fault else MOST_FACTS)
    return " ".join([said, *_left_open(reasoner, belief, about, names_untested=not briefly)])


def say_proposal(reasoner: Reasoner, belief: Belief, fault: str, minutes: float | None) -> str:
    """The repair that is proposed where more testing costs more than it saves, with its odds and what speaks for it.
    `minutes`: None to say briefly, with the two strongest reasons, what is proposed."""
    odds = fault_odds(reasoner.network, belief)[fault]
    opening = reasoned.stop_testing(reasoner.model.say_fault(fault), say_odds(odds), surely=odds >= LEAST_PROVED)
    if minutes is None:
        return _with_facts(reasoner, belief, opening, fault, most=MOST_FACTS_BRIEFLY)
    said = _with_facts(reasoner, belief, opening, fault, most=MOST_FACTS)
    return f"{said} {reasoned.repair_takes(say_minutes(minutes))}"


def say_proposed(reasoner: Reasoner, belief: Belief, fault: str, *, briefly: bool = False) -> str:
    """The proposal with what was not tested of the fault, and whether it may be the supply."""
    minutes = None if briefly else reasoner.model.fault(fault).repair_min
    return " ".join([say_proposal(reasoner, belief, fault, minutes), *_left_open(reasoner, belief, fault)])


def _left_open(reasoner: Reasoner, belief: Belief, fault: str, *, names_untested: bool = True) -> Iterator[str]:
    """At most two sentences: what the repair leaves open gives way, for it is told again once that has held."""
    untested = tuple(_untested(reasoner, belief, fault))[:MOST_UNTESTED] if names_untested else ()
    listed = untested and finding_stands(reasoner, belief, fault) is not Standing.PROVED
    if listed:
        yield reasoned.not_tested(untested)
    conflict, unfed = find_conflict(reasoner.network, belief), _unfed(reasoner, belief, fault)
    leaves = next((each.leaves_open for each in reasoner.model.faults if each.id == fault), "")
    if leaves and not (listed and (conflict is not None or unfed)):
        yield leaves
    if conflict is not None:
        yield check_again(reasoner, conflict)
    elif unfed:
        yield reasoned.may_be_supply(unfed)


def _opening(reasoner: Reasoner, odds: dict[str, float], *, fault: str | None, standing: Standing, fits: bool) -> str:
    say, top = reasoner.model.say_fault, next(iter(odds))
    if fault is None:
        return reasoned.still_open(say(top), say_odds(odds[top]))
    named = say(fault), say_odds(odds[fault])
    if standing is Standing.PROVED:
        return reasoned.proved(*named, say(top) if top != fault else None)
    if standing is Standing.OUTWEIGHED and not fits:
        return reasoned.likelier(say(top), say(fault))
    if standing is Standing.OUTWEIGHED:
        return reasoned.likelier_by(*named, say(top), say_odds(odds[top]))
    if odds[fault] < max(reasoner.model.settings.proved_at, LEAST_PROVED):
        return reasoned.not_proved(*named)
    return reasoned.not_what_failed(*named) if fits else reasoned.results_do_not_fit(*named)


def _with_facts(reasoner: Reasoner, belief: Belief, opening: str, fault: str, *, most: int) -> str:
    """The opening with what speaks for the fault and the strongest against it, as far as the words go."""
    for_it, against = facts_about(reasoner, belief, fault)
    clauses = [say_result(reasoner.model, name, belief.evidence[name]) for name in for_it[:most]]
    but = say_result(reasoner.model, against, belief.evidence[against]) if against else ""
    ways = [
        reasoned.with_reasons(opening, clauses[:count], end) for count in range(len(clauses) + 1) for end in ("", but)
    ]
    return [ways[0], *(way for way in ways if len(way.split()) <= MOST_WORDS)][-1]


def _decided(reasoner: Reasoner, belief: Belief, fault: str) -> bool:
    """Whether a test of this very fault was seen; of one with cheap tests of what is to be mended, one of those."""
    tried = next((each.tried_first for each in reasoner.model.faults if each.id == fault), ())
    seen = any(True for _ in _direct_seen(reasoner, belief, fault))
    return seen and (not tried or any(test in belief.evidence for test in tried))


def _direct_seen(reasoner: Reasoner, belief: Belief, fault: str) -> Iterator[str]:
    """Tests seen whose result by itself speaks for this very fault."""
    if fault not in reasoner.network.faults:
        return
    for name, value in belief.evidence.items():
        ratios = _ratios(reasoner, name, fault)
        if ratios[reasoner.network.nodes[name].values.index(value)] >= DIRECT:
            yield name


def _untested(reasoner: Reasoner, belief: Belief, fault: str) -> Iterator[str]:
    """Tests that were not done, in words: the most telling of this very fault, those that would tell most of which
    fault it is, then others of this one."""
    impossible = _impossible(reasoner, belief)
    own = [test.say for test in _direct(reasoner, fault) if test.id not in belief.evidence.keys() | impossible]
    yield from own[:1]
    bits = entropy_bits(split_by_fault(reasoner.network, belief.hypotheses))
    left = {
        test.id for test in reasoner.model.tests if test.seen_from and not test.cures and allowed(test, belief.evidence)
    }
    left -= belief.evidence.keys() | impossible
    after = foresee(reasoner.model, reasoner.network, belief, left)
    gains = {name: bits - after[name].bits for name in after if bits - after[name].bits >= TELLS_MUCH}
    telling = (reasoner.model.test(name).say for name in sorted(gains, key=lambda name: -gains[name]))
    yield from (say for say in telling if say not in own)
    yield from own[1:]


def _impossible(reasoner: Reasoner, belief: Belief) -> frozenset[str]:
    """Tests of what the car lacks, by what was seen of it: with a carburettor nobody misses the fault codes."""
    tests = {test.id: test for test in reasoner.model.tests}
    seen = ((tests[name], value) for name, value in belief.evidence.items() if name in tests)
    lacks = frozenset[str]().union(*(test.made(value) for test, value in seen))
    return frozenset(test.id for test in tests.values() if test.work and not lacks.isdisjoint(test.work.unless))


def _direct(reasoner: Reasoner, fault: str) -> tuple[Variable, ...]:
    """The direct tests of a fault that a procedure asks, the most telling first; none of what is no fault here."""
    if fault not in reasoner.network.faults:
        return ()
    asked = [test for test in reasoner.model.tests if test.seen_from and not test.lasting]
    telling = {test.id: float(_ratios(reasoner, test.id, fault).max()) for test in asked}
    found = [test for test in asked if telling[test.id] >= DIRECT]
    return tuple(sorted(found, key=lambda test: -telling[test.id]))


def _ratios(reasoner: Reasoner, test: str, fault: str) -> np.ndarray:
    """How many times likelier each result is with the fault than without it, before anything is seen."""
    network = reasoner.network
    there = (network.holds == network.faults.index(fault)).any(axis=0)
    joint = network.beside[test]
    with_it, without = joint[there].sum(axis=0), joint[~there].sum(axis=0)
    return np.asarray((with_it / with_it.sum()) / np.maximum(without / without.sum(), TINY))


def _unfed(reasoner: Reasoner, belief: Belief, fault: str) -> tuple[str, ...]:
    """What must be seen good before the part is named alone and was not, in words; none once a cure has shown it."""
    model = reasoner.model
    if fault == NONE_OF_THESE:
        return ()
    cured = any(
        test.cures and belief.evidence.get(test.id, test.values[0].id) != test.values[0].id for test in model.tests
    )
    needed = () if cured else model.fault(fault).good_first
    return tuple(model.test(name).say for name in needed if belief.evidence.get(name) != model.test(name).values[0].id)


def _meant(model: Model, finding: str | None) -> str | None:
    """The model's name for the fault of a finding, its own where the model lacks it, None where it is open."""
    return None if finding in (None, OPEN) else model.meant_by(finding) or finding

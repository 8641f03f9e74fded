"""What to do next so that the car runs soonest: the next test, or the repair that more testing would not make surer.

The measure is minutes: of set-up and moving from where the technician stands, of the test, and of repairs that later
prove wrong. A test that can hurt or opens the fuel counts for more than it takes (`risk_min`), and so does a part
fitted in vain (`PART_MIN`). The test that tells most a minute goes first, with what opens the way to it; a second look
at a result that may be wrong is a test like any other. Testing ends when repairing one fault after the other, by
probability over cost, is expected to waste less (`wasted_min`).
Source of that order: Kalagnanam & Henrion (arXiv 1304.2362).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache

import numpy as np

from assistant.procedure.model import Duty
from assistant.reasoning.costs import Situation, allowed, do_test, lacking, minutes_for
from assistant.reasoning.model import NONE_OF_THESE, Model, Variable
from assistant.reasoning.network import Array, Network, split_by_fault
from assistant.reasoning.next_test import LEAST_MINUTES, entropy_bits, plogp
from assistant.reasoning.posterior import Belief

CHECK_MIN = 2.0
"""Minutes to see that a repair did not help. Judgement."""

PART_MIN = 30.0
"""What a part fitted in vain counts for beside its minutes: it is paid for. Judgement."""

MOST_MINUTES_A_BIT = 90.0
"""A test that costs more than this for a bit is not worth it. Chosen on 450 made-up cars (seed 505), of which none is
among those that `hoodside bench reason` measures with: 45 to 200 lie within 2.2 minutes of each other."""

PROVING = 0.7
"""Share of the minutes that testing on at the best test's rate would take, at which it still beats repairing now: later
tests are mostly better than the present one, since they know more. Chosen likewise: from 0.4 to 1.3 the minutes differ
by five, and the more is repaired early, the fewer first repairs are right (81 to 70 %)."""


class Act(StrEnum):
    """What a plan says to do."""

    TEST = "test"
    REPAIR = "repair"
    SEARCH = "search"  # by the vehicle maker's information: no test and no likely fault is left


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """What the state of car and bay adds: `extra_min`: test -> minutes to get ready for it beside its own set-up;
    `forbidden`: tests that must not be begun now; `among`: the tests that can be done at all, None for every one."""

    extra_min: Mapping[str, float] = field(default_factory=dict)
    forbidden: frozenset[str] = frozenset()
    among: Collection[str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A test as the planner sees it. `goal`: the test that it is done for, itself or one that it opens the way to.

    `again`: it is a second look. `minutes`: until its result; `counted_min`: until the goal's, with what risks count
    for; `gain_bits`: what is expected to be known then; `then_min`: wrong repairs expected if testing ended then.
    """

    test: str
    goal: str
    again: bool
    minutes: float
    counted_min: float
    gain_bits: float
    then_min: float

    @property
    def rate(self) -> float:
        """Bits a minute."""
        return self.gain_bits / self.counted_min


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What to do next. `name`: the test, or the fault to repair; `odds`: that the repair is right.

    `minutes`: of the test until its result, of the repair. `without_min`: wrong repairs expected without any further
    test. `options`: the tests, the best first.
    """

    act: Act
    name: str
    minutes: float
    odds: float
    without_min: float
    options: tuple[Option, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """What is expected after a test: bits left, minutes of wrong repairs, and the chance of each result."""

    bits: float
    wasted_min: float
    chances: Mapping[str, float]


Foreseen = Mapping[str, After]
"""Test -> what is expected after it, from one belief on."""


def make_plan(
    model: Model,
    network: Network,
    belief: Belief,
    *,
    situation: Situation | None = None,
    duty: Duty | None = None,
    ready: Readiness | None = None,
    foreseen: Foreseen | None = None,
) -> Plan:
    """The next test or repair. `foreseen`: of this very belief, where it was looked ahead from already."""
    situation, duty, ready = situation or Situation(), duty or Duty(), ready or Readiness()
    odds = split_by_fault(network, belief.hypotheses)
    costs = repair_costs(model)
    without = float(wasted_min(odds[:, None], costs, model.settings.search_min)[0])
    told = foresee(model, network, belief, ready.among) if foreseen is None else foreseen
    bits = entropy_bits(odds)
    options = _options(model, belief, told, bits, situation=situation, duty=duty, ready=ready)
    if options and _pays(options, odds, without):
        best = options[0]
        return Plan(act=Act.TEST, name=best.test, minutes=best.minutes, odds=0.0, without_min=without, options=options)
    return _repair(model, odds, costs, without, options)


def _pays(options: tuple[Option, ...], odds: Array, without: float) -> bool:
    """Whether testing pays: some test saves more wrong repairs than it takes, or going on to certainty at the best
    test's rate does. A test that costs too much for a bit never does."""
    best = options[0]
    if best.rate * MOST_MINUTES_A_BIT < 1.0:
        return False
    if min(option.counted_min + option.then_min for option in options) < without:
        return True
    return PROVING * entropy_bits(odds) / best.rate < without


def _repair(model: Model, odds: Array, costs: Array, without: float, options: tuple[Option, ...]) -> Plan:
    """The fault with the most probability for its cost, or a search where that pays more."""
    search = model.settings.search_min
    first = int(np.argmax(odds[:-1] / costs))
    total = float(odds.sum())
    go_on = costs[first] * (total - odds[first])
    left = odds.copy()
    left[first] = 0.0
    go_on += float(wasted_min(left[:, None], costs, search)[0])
    if search * (total - odds[-1]) < go_on - 1e-9 or odds[first] <= 0.0:
        act, name, minutes, chance = Act.SEARCH, NONE_OF_THESE, search, float(odds[-1])
    else:
        fault = model.faults[first]
        act, name, minutes, chance = Act.REPAIR, fault.id, fault.repair_min, float(odds[first] / total)
    return Plan(act=act, name=name, minutes=minutes, odds=chance, without_min=without, options=options)


def repair_costs(model: Model) -> Array:
    """What each repair counts for if it is wrong, in minutes, in the order of the faults."""
    return np.array([fault.repair_min + CHECK_MIN + PART_MIN * fault.fits_part for fault in model.faults])


def wasted_min(odds: Array, costs: Array, search_min: float) -> Array:
    """Minutes of wrong repairs expected where faults are repaired by probability over cost, until a search pays more.

    `odds`: shape (faults + 1, cases), the last row none of these; need not add up to 1: what comes back is in
    proportion. A search finds everything and is wasted but where it is none of these.
    """
    rates = odds[:-1] / costs[:, None]
    order = np.argsort(-rates, axis=0)
    chances = np.take_along_axis(odds[:-1], order, axis=0)
    total = odds.sum(axis=0)
    left = total - np.cumsum(chances, axis=0)  # not yet repaired after each repair
    spent = np.cumsum(costs[order] * left, axis=0)
    search = np.maximum(left - odds[-1], 0.0) * search_min
    at_once = (total - odds[-1]) * search_min
    return np.asarray(np.minimum(at_once, (spent + search).min(axis=0)))


def _options(
    model: Model,
    belief: Belief,
    told: Foreseen,
    bits: float,
    *,
    situation: Situation,
    duty: Duty,
    ready: Readiness,
) -> tuple[Option, ...]:
    """Every test that may be begun now, by what it or a test behind it tells a minute; the best first."""
    tests = {test.id: test for test in model.tests if ready.among is None or test.id in ready.among}
    may = {name: test for name, test in tests.items() if name not in ready.forbidden and name in told}
    gains = {name: max(0.0, bits - told[name].bits) for name in may}
    found: dict[str, Option] = {}
    for name, test in may.items():
        if allowed(test, belief.evidence):
            first, share = test, 1.0
            minutes, counted = _cost(model, test, situation, duty, ready)
            gain, then_min = gains[name], told[name].wasted_min
        else:
            way = _way_to(test, may, belief, told)
            if way is None:
                continue
            first, share = way
            minutes, counted = _cost(model, first, situation, duty, ready)
            then = do_test(model, first, situation, duty)
            counted += share * _cost(model, test, then, duty, ready)[1]
            gain = gains[first.id] + share * gains[name]
            then_min = told[first.id].wasted_min
        option = Option(
            test=first.id,
            goal=name,
            again=first.id in belief.evidence,
            minutes=minutes,
            counted_min=max(LEAST_MINUTES, counted),
            gain_bits=gain,
            then_min=then_min,
        )
        if first.id not in found or option.rate > found[first.id].rate:
            found[first.id] = option
    return tuple(sorted(found.values(), key=lambda option: (-option.rate, option.test)))


def _looks_left(test: Variable, belief: Belief) -> bool:
    """Whether a test may be done, or done once more: a start is not seen wrongly, and a third look is not offered
    before something was repaired."""
    if test.id not in belief.evidence:
        return True
    return test.id not in belief.again and not test.lasting and (not test.cures or test.id in belief.before)


def _cost(model: Model, test: Variable, situation: Situation, duty: Duty, ready: Readiness) -> tuple[float, float]:
    """Minutes until the result, and these with what risks count for."""
    minutes = minutes_for(model, test, situation, duty) + ready.extra_min.get(test.id, 0.0)
    work = test.work
    risk = 0.0
    if work is not None:
        missing = set(work.set_ups) - situation.set_ups
        risk = work.risk_min + sum(known.risk_min for known in model.set_ups if known.id in missing)
    return minutes, minutes + risk


def _way_to(
    test: Variable, may: Mapping[str, Variable], belief: Belief, told: Foreseen
) -> tuple[Variable, float] | None:
    """The test to do first so that the way to a closed one may open, and how likely it opens; None without any."""
    best: tuple[Variable, float] | None = None
    for opening in lacking(test, belief.evidence):
        first = may.get(opening.test)
        if first is None or not allowed(first, belief.evidence):
            continue
        by_result = told[first.id].chances
        share = sum(by_result[result] for result in (opening.results or by_result))
        if best is None or share > best[1]:
            best = first, share
    return best


def foresee(model: Model, network: Network, belief: Belief, among: Collection[str] | None = None) -> Foreseen:
    """What is expected after each test that may be done, or done once more; `among`: only of these."""
    tests = [test for test in model.tests if (among is None or test.id in among) and _looks_left(test, belief)]
    if not tests or not belief.possible:
        return {}
    costs, search_min = repair_costs(model), model.settings.search_min
    names = tuple(test.id for test in tests)
    weights = belief.weights.reshape(len(belief.weights), -1) / belief.weights.sum()
    marginals: dict[tuple[str, ...], Array] = {}
    blocks: list[Array] = []
    for name in names:
        node = network.nodes[name]
        wanted = (name,) if name in network.core else node.parents
        if wanted not in marginals:
            axes = tuple(network.core.index(one) for one in wanted)
            marginals[wanted] = weights @ _onto(belief.weights.shape[1:], axes)
        joint = marginals[wanted]
        seen = belief.evidence.get(name)
        table = node.table if seen is None else network.once_more(name, seen, anew=name in belief.before)
        if name in network.core:
            blocks.append(joint)
        else:
            blocks.append(np.einsum("hc,hcv->hv", joint, table.reshape(*joint.shape, -1)))
    by_fault = split_by_fault(network, np.concatenate(blocks, axis=1))
    wasted = wasted_min(by_fault, costs, search_min)
    total = by_fault.sum(axis=0)
    bits = plogp(by_fault).sum(axis=0) - plogp(total)
    found: dict[str, After] = {}
    start = 0
    for name, block in zip(names, blocks, strict=True):
        here = slice(start, start + block.shape[1])
        found[name] = After(
            bits=float(bits[here].sum()),
            wasted_min=float(wasted[here].sum()),
            chances=dict(zip(network.nodes[name].values, total[here].tolist(), strict=True)),
        )
        start = here.stop
    return found


@lru_cache(maxsize=64)
def _onto(sizes: tuple[int, ...], axes: tuple[int, ...]) -> Array:
    """Sums the combinations of core values into those of some axes alone, shape (all combinations, those of the axes):
    a product with it is many times as fast as a sum over short axes."""
    few = tuple(sizes[axis] for axis in axes)
    own = np.indices(sizes).reshape(len(sizes), int(np.prod(sizes)))[list(axes)]
    number = np.ravel_multi_index(tuple(own), few) if few else np.zeros(int(np.prod(sizes)), dtype=np.int64)
    return np.asarray(np.eye(int(np.prod(few)))[number])

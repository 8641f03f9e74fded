"""The plan as the guide asks it: the next block, or the end of the tests, with the reason in one sentence."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from assistant.facts import Fact
from assistant.guide import Library, State
from assistant.guide.leading import block_of
from assistant.guide.places import step_at
from assistant.guide.plan_changes import second_look
from assistant.guide.state import Frame
from assistant.guide.turn import Led
from assistant.procedure.forbidden import REPAIRED
from assistant.procedure.model import Finding, Proof
from assistant.reasoning import findings
from assistant.reasoning.costs import is_open
from assistant.reasoning.model import NONE_OF_THESE, Block
from assistant.reasoning.plan_words import say_briefly, say_plan
from assistant.reasoning.planner import MOST_MINUTES_A_BIT, Act, Option, Plan
from assistant.reasoning.posterior import Belief, value_odds
from assistant.reasoning.standing import Standing
from assistant.session.blocks import Inside, Walk
from assistant.session.thoughts import Thoughts

BESIDE = 0.5
"""What tests on the way to another count for, of what they tell by themselves. Judgement."""

UNUSUAL = 0.3
"""How often another answer than the first one comes to a question that tells nothing of the car. Judgement."""

LIKELY = 0.35
"""A way that leads to its test more seldom than this is none: what is said to come next should come. Judgement."""

SELDOM = 0.05
"""A result counts as at least so likely where it leads to a test: one that was seen otherwise may be told anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """Where a test is had: in which block, empty where it lies ahead; `share`: how likely that way comes to it;
    `minutes`: of the steps until its result, as written."""

    block: str
    inside: Inside
    share: float
    minutes: float

    @property
    def far(self) -> float:
        """By what two ways to a test are compared."""
        return self.minutes / self.share


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moment:
    """What is believed and can be done now. `ways`: every test that can be had, with its best way; `pursued`: the test
    that the plan led to, while it lies ahead; `looked_again`: it was a second look, and is done."""

    state: State
    belief: Belief
    cannot: frozenset[str]
    failed: frozenset[str]
    ways: Mapping[str, _Way]
    pursued: str
    looked_again: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Choice:
    """A test and its way; `rate`: bits a minute, what else is told on the way counted."""

    option: Option
    way: _Way
    rate: float


class Leader:
    """Chooses the blocks of one job."""

    def __init__(self, thoughts: Thoughts, library: Library) -> None:
        self._thoughts = thoughts
        self._reasoner = thoughts.reasoner
        self._library = library
        self._walk = Walk(self._reasoner.model, library)
        self._blocks = self._walk.in_blocks()
        self._ahead = lru_cache(maxsize=1024)(self._walk.ahead)

    def places(self) -> Mapping[str, tuple[str, ...]]:
        """Block -> its names, as they may be said."""
        return {block.step: (block.say,) for block in self._reasoner.model.blocks if block.step in self._blocks}

    def plan(self, state: State) -> Plan:
        """The next test or repair from where the technician stands, as it would be led to."""
        here = self._moment(state, (), state.at)
        plan = self._plan(here, here.ways)
        pursued = (choice for choice in self._choices(here, plan) if choice.option.test == here.pursued)
        choice = next(pursued, None) or self._best(here, plan)
        if choice is None:
            return plan
        best = choice.option
        others = (option for option in plan.options if option is not best)
        return replace(plan, name=best.test, minutes=best.minutes, options=(best, *others))

    def __call__(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with, or the step that ends the tests; None for `target`, which the procedure enters by
        itself. A block that was entered is chosen again only for a second look, so that none comes for ever; nor is
        one for a test on whose way there is work that only a repair would allow. Within a block the end of the tests
        is chosen, or another block once a second look is done."""
        found = step_at(self._library, target).finding if target is not None else None
        if state.repaired is not None or (target is not None and self._stands(state, facts, target, found)):
            return None
        here = self._moment(state, facts, target)
        plan = self._plan(here, here.ways)
        if target is not None and target.step not in self._blocks and found is None:
            return self._end(here, plan) if plan.act is not Act.TEST else self._leave(here, plan)
        choice = self._first(here, plan) or self._best(here, plan)
        if choice is None:
            return self._end(here, self._plan(here, ()) if plan.act is Act.TEST else plan)
        if target is not None and choice.way.block == target.step:
            return None
        return self._to(here, choice)

    def _leave(self, here: _Moment, plan: Plan) -> Led | None:
        """From the middle of a block to another, once a second look is done: all else there was done before."""
        best = self._best(here, plan) if here.looked_again else None
        return self._to(here, best) if best is not None and best.way.block else None

    def rather(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with where what is asked here cannot be done; None where what pays most lies ahead."""
        here = self._moment(state, facts, target)
        plan = self._plan(here, here.ways)
        choice = self._best(here, plan)
        if choice is None:
            return self._end(here, self._plan(here, ()) if plan.act is Act.TEST else plan)
        return self._to(here, choice) if choice.way.block else None

    def closed(self, state: State, facts: Sequence[Fact], block: str) -> str:
        """Why this block may not be entered by word now; empty where it may."""
        known = next((each for each in self._reasoner.model.blocks if each.step == block), None)
        if known is None or block not in self._blocks:
            return "I do not know that test here."
        belief, _ = self._thoughts.after(facts)
        if is_open(known.opened_by, belief.evidence):
            return ""
        needed = self._reasoner.model.test(known.opened_by[0].test)
        return f"That only follows what the {needed.say} may show."

    def _moment(self, state: State, facts: Sequence[Fact], target: Frame | None) -> _Moment:
        belief, cannot = self._thoughts.after(facts)
        pursued = self._thoughts.pursued(facts, belief)
        places = self._within(state, target, belief)
        ahead: Mapping[str, Inside] = {}
        # What lies behind an end is not come to.
        if target is not None and target.step not in self._blocks and step_at(self._library, target).finding is None:
            known = self._ahead(target, state.position.stack)
            ahead = {test: way for test, way in known.items() if test == pursued or test not in belief.evidence}
        odds: dict[str, Mapping[str, float]] = {}
        ways: dict[str, _Way] = {}
        for block, tests in (("", ahead), *places.items()):
            for test, inside in tests.items():
                way = self._way(belief, block, test, inside, odds)
                if way.share >= LIKELY and (test not in ways or way.far < ways[test].far):
                    ways[test] = way
        return _Moment(
            state=state,
            belief=belief,
            cannot=cannot,
            failed=self._thoughts.failed(facts),
            ways=ways,
            pursued=pursued if pursued in ways and not ways[pursued].block else "",
            looked_again=self._thoughts.looked_again(facts, belief),
        )

    def _within(self, state: State, target: Frame | None, belief: Belief) -> Mapping[str, Mapping[str, Inside]]:
        """Block that may be entered -> the tests to be had there."""
        entered = state.chosen | {block_of(state)}
        entered |= {(visit.position.stack or (visit.position.at,))[0].step for visit in state.history}
        broken = state.bay.conditions & REPAIRED
        once_more = {
            test for test in belief.evidence if test not in belief.again and second_look(test) not in state.chosen
        }
        found = {}
        for block in self._open_blocks(belief):
            here = target == state.at == Frame(procedure=state.root, step=block.step)
            fresh = here or block.step not in entered
            found[block.step] = {
                test: way
                for test, way in self._blocks[block.step].items()
                if not way.closed_by & broken and (test in once_more if test in belief.evidence else fresh)
            }
        return found

    def _way(self, belief: Belief, block: str, test: str, inside: Inside, odds: dict[str, Mapping[str, float]]) -> _Way:
        """`odds`: of the values of the tests that were looked at already."""
        share = UNUSUAL**inside.turns
        for needed, value in inside.needs:
            if needed not in odds:
                odds[needed] = value_odds(self._reasoner.network, belief, needed)
            share *= max(odds[needed][value], SELDOM) if belief.evidence.get(needed, value) == value else 0.0
        work = self._reasoner.model.test(test).work
        minutes = inside.minutes + (work.minutes if work is not None else 0.0)
        return _Way(block=block, inside=inside, share=share, minutes=minutes)

    def _open_blocks(self, belief: Belief) -> list[Block]:
        blocks = self._reasoner.model.blocks
        return [each for each in blocks if each.step in self._blocks and is_open(each.opened_by, belief.evidence)]

    def _plan(self, here: _Moment, among: Collection[str]) -> Plan:
        """Whether testing goes on is weighed by the tests themselves, which of them by their whole ways. A search by
        the maker's information, counted for two hours, does not begin while a test is left that is worth its
        minutes: weighed by minutes alone one job in five ended so, the fuel pressure not measured."""
        plan = self._thoughts.plan(here.state, here.belief, among, here.cannot)
        if plan.act is Act.REPAIR or not plan.options:
            return plan
        minutes = {test: way.minutes for test, way in here.ways.items()}
        by_ways = self._thoughts.plan(here.state, here.belief, among, here.cannot, minutes)
        first = by_ways.options[0]
        if plan.act is Act.SEARCH and first.rate * MOST_MINUTES_A_BIT < 1.0:
            return plan
        return replace(plan, act=Act.TEST, name=first.test, minutes=first.minutes, options=by_ways.options)

    def _stands(self, state: State, facts: Sequence[Fact], target: Frame, found: Finding | None) -> bool:
        """Whether the procedure goes on to this step, or ends in it, whatever the plan would rather do."""
        if not self._blocks:
            return True
        if found is None or found.repair is Proof.FAILS or found.fault == findings.OPEN:
            led = self._library[state.root].led
            return found is not None and led is not None and target.step in (led.repair, led.search)
        if state.bay.conditions & REPAIRED or self._reasoner.model.meant_by(found.fault or "") is None:
            return True
        belief, _ = self._thoughts.after(facts)
        return findings.finding_stands(self._reasoner, belief, found.fault) is not Standing.OUTWEIGHED

    def _first(self, here: _Moment, plan: Plan) -> _Choice | None:
        """The cheap facts that are still to be had, before anything is weighed."""
        fresh = [choice for choice in self._choices(here, plan) if not choice.option.again]
        for block in self._reasoner.model.blocks:
            there = [choice for choice in fresh if block.first and choice.way.block == block.step]
            if there:
                return max(there, key=lambda choice: choice.rate)
        return None

    def _best(self, here: _Moment, plan: Plan) -> _Choice | None:
        """The test that pays most where it can be had, where testing pays."""
        return max(self._choices(here, plan), key=lambda choice: choice.rate, default=None)

    def _choices(self, here: _Moment, plan: Plan) -> list[_Choice]:
        """Every test that can be had, none where testing does not pay. What else is told on the way counts half, for it
        tells much the same; and it must come out so that it leads there."""
        if plan.act is not Act.TEST:
            return []
        gains = {option.test: option.gain_bits for option in plan.options}
        found = []
        for option in plan.options:
            way = here.ways[option.test]
            beside = sum(gains.get(test, 0.0) for test in way.inside.asks if test not in here.belief.evidence)
            rate = (way.share * option.gain_bits + BESIDE * beside) / option.counted_min
            found.append(_Choice(option=option, way=way, rate=rate))
        return found

    def _to(self, here: _Moment, choice: _Choice) -> Led:
        """Into the block."""
        option = choice.option
        why = Plan(act=Act.TEST, name=option.test, minutes=0.0, odds=0.0, without_min=0.0, options=(option,))
        return Led(
            step=choice.way.block,
            why=say_plan(self._reasoner, here.belief, why),
            briefly=say_briefly(self._reasoner, option),
            test=option.test,
            again=option.again,
        )

    def _end(self, here: _Moment, plan: Plan) -> Led | None:
        """The step that proposes the repair, or the one that says that no test is left."""
        led = self._library[here.state.root].led
        if led is None:
            return None
        why = say_plan(self._reasoner, here.belief, plan)
        if plan.act is Act.REPAIR and plan.name != NONE_OF_THESE and plan.name not in here.failed:
            return Led(step=led.repair, why=why, fault=plan.name)
        return Led(step=led.search, why=say_plan(self._reasoner, here.belief, replace(plan, act=Act.SEARCH)))

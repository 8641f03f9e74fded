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
from assistant.reasoning.planner import Act, Option, Plan
from assistant.reasoning.posterior import Belief, value_odds
from assistant.reasoning.standing import Standing
from assistant.session.blocks import Inside, Walk
from assistant.session.thoughts import Thoughts

BESIDE = 0.5
"""What tests on the way to another count for, of what they tell by themselves. Judgement."""

UNUSUAL = 0.3
"""How often another answer than the first one comes to a question that tells nothing of the car. Judgement."""

SELDOM = 0.05
"""A result counts as at least so likely where it leads to a test: one that was seen otherwise may be told anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moment:
    """What is believed and can be done now. `within`: block that may be entered -> the tests to be had there, with the
    way to each; `ahead`: tests on the way from the step that the procedure would enter."""

    state: State
    belief: Belief
    cannot: frozenset[str]
    failed: frozenset[str]
    within: Mapping[str, Mapping[str, Inside]]
    ahead: Mapping[str, Inside]

    @property
    def tests(self) -> frozenset[str]:
        """Every test that can be had."""
        return frozenset(self.ahead).union(*self.within.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class _Choice:
    """A test and the block to have it in, empty where it lies ahead; `rate`: bits a minute, the way there counted."""

    option: Option
    block: str
    rate: float = 0.0


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
        plan = self._plan(here, here.tests)
        choice = self._best(here, plan)
        if choice is None:
            return plan
        best = choice.option
        others = (option for option in plan.options if option is not best)
        return replace(plan, name=best.test, minutes=best.minutes, options=(best, *others))

    def __call__(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with, or the step that ends the tests; None for `target`, which the procedure enters by
        itself. A block that was entered is not chosen, so that none comes for ever, nor one for a test on whose way
        there is work that only a repair would allow. Within a block nothing but the end of the tests is chosen."""
        found = step_at(self._library, target).finding if target is not None else None
        if state.repaired is not None or (target is not None and self._stands(state, facts, target, found)):
            return None
        here = self._moment(state, facts, target)
        plan = self._plan(here, here.tests)
        if target is not None and target.step not in self._blocks and found is None:
            return self._end(here, plan) if plan.act is not Act.TEST else None
        if found is not None:
            here = replace(here, ahead={})  # what lies behind an end is not come to
        choice = self._first(here, plan) or self._best(here, plan)
        if choice is None:
            return self._end(here, self._plan(here, ()) if plan.act is Act.TEST else plan)
        if target is not None and choice.block == target.step:
            return None
        return self._to(here, choice)

    def rather(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with where what is asked here cannot be done; None where what pays most lies ahead."""
        here = self._moment(state, facts, target)
        plan = self._plan(here, here.tests)
        choice = self._best(here, plan)
        if choice is None:
            return self._end(here, self._plan(here, ()) if plan.act is Act.TEST else plan)
        return self._to(here, choice) if choice.block else None

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
        entered = state.chosen | {block_of(state)}
        entered |= {(visit.position.stack or (visit.position.at,))[0].step for visit in state.history}
        broken = state.bay.conditions & REPAIRED
        once_more = {
            test for test in belief.evidence if test not in belief.again and second_look(test) not in state.chosen
        }
        within: dict[str, dict[str, Inside]] = {}
        for block in self._open_blocks(belief):
            fresh = block.step not in entered or (target is not None and target.step == block.step)
            within[block.step] = {
                test: way
                for test, way in self._blocks[block.step].items()
                if not way.closed_by & broken and (test in once_more if test in belief.evidence else fresh)
            }
        ahead: Mapping[str, Inside] = {}
        if target is not None and target.step not in self._blocks:
            ways = self._ahead(target, state.position.stack)
            ahead = {test: way for test, way in ways.items() if test not in belief.evidence}
        return _Moment(
            state=state,
            belief=belief,
            cannot=cannot,
            failed=self._thoughts.failed(facts),
            within=within,
            ahead=ahead,
        )

    def _open_blocks(self, belief: Belief) -> list[Block]:
        blocks = self._reasoner.model.blocks
        return [each for each in blocks if each.step in self._blocks and is_open(each.opened_by, belief.evidence)]

    def _plan(self, here: _Moment, among: Collection[str]) -> Plan:
        return self._thoughts.plan(here.state, here.belief, among, here.cannot)

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
        if plan.act is not Act.TEST:
            return None
        fresh = [option for option in plan.options if not option.again]
        for block in self._reasoner.model.blocks:
            tests = here.within.get(block.step, {}) if block.first else {}
            option = next((option for option in fresh if option.test in tests), None)
            if option is not None:
                return _Choice(option=option, block=block.step)
        return None

    def _best(self, here: _Moment, plan: Plan) -> _Choice | None:
        """The test that pays most where it can be had, the way there counted, where testing pays."""
        if plan.act is not Act.TEST:
            return None
        gains = {option.test: option.gain_bits for option in plan.options}
        odds: dict[str, Mapping[str, float]] = {}
        places = [("", here.ahead), *here.within.items()]
        found = [
            _Choice(option=option, block=block, rate=self._rate(here, option, ways[option.test], gains, odds))
            for option in plan.options
            for block, ways in places
            if option.test in ways
        ]
        return max(found, key=lambda choice: choice.rate, default=None)

    def _rate(
        self,
        here: _Moment,
        option: Option,
        way: Inside,
        gains: Mapping[str, float],
        odds: dict[str, Mapping[str, float]],
    ) -> float:
        """Bits a minute of going this way: what else is told on it counts half, for it tells much the same; and it must
        come out so that it leads there. `odds`: of the values of the tests that were looked at already."""
        share = UNUSUAL**way.turns
        for test, value in way.needs:
            if test not in odds:
                odds[test] = value_odds(self._reasoner.network, here.belief, test)
            share *= max(odds[test][value], SELDOM)
        beside = sum(gains.get(test, 0.0) for test in way.asks if test not in here.belief.evidence)
        return (share * option.gain_bits + BESIDE * beside) / (option.counted_min + way.minutes)

    def _to(self, here: _Moment, choice: _Choice) -> Led:
        """Into the block."""
        option = choice.option
        why = Plan(act=Act.TEST, name=option.test, minutes=0.0, odds=0.0, without_min=0.0, options=(option,))
        return Led(
            step=choice.block,
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

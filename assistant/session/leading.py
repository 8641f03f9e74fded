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
from assistant.reasoning.plan_words import say_plan
from assistant.reasoning.planner import Act, Option, Plan
from assistant.reasoning.posterior import Belief
from assistant.reasoning.standing import Standing
from assistant.session.blocks import asked_ahead, asked_in_blocks
from assistant.session.thoughts import Thoughts


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moment:
    """What is believed and can be done now. `within`: block that may be entered -> the tests to be had there, with the
    steps before each; `ahead`: tests on the way from the step that the procedure would enter."""

    state: State
    belief: Belief
    cannot: frozenset[str]
    failed: frozenset[str]
    within: Mapping[str, Mapping[str, int]]
    ahead: frozenset[str]

    @property
    def tests(self) -> frozenset[str]:
        """Every test that can be had."""
        return self.ahead.union(*self.within.values())


class Leader:
    """Chooses the blocks of one job."""

    def __init__(self, thoughts: Thoughts, library: Library) -> None:
        self._thoughts = thoughts
        self._reasoner = thoughts.reasoner
        self._library = library
        self._blocks = asked_in_blocks(self._reasoner.model, library)
        self._ahead = lru_cache(maxsize=1024)(self._asked_ahead)

    def places(self) -> Mapping[str, tuple[str, ...]]:
        """Block -> its names, as they may be said."""
        return {block.step: (block.say,) for block in self._reasoner.model.blocks if block.step in self._blocks}

    def plan(self, state: State) -> Plan:
        """The next test or repair from where the technician stands, as it would be led to."""
        here = self._moment(state, (), state.at)
        return self._plan(here, here.tests)

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
        option = self._first(here, plan) or self._best(here, plan)
        if option is None:
            return self._end(here, self._plan(here, ()) if plan.act is Act.TEST else plan)
        if target is not None and target.step in self._blocks and option.test in here.within.get(target.step, ()):
            return None
        return self._to(here, option)

    def rather(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with where what is asked here cannot be done; None where what pays most lies ahead."""
        here = self._moment(state, facts, target)
        plan = self._plan(here, here.tests)
        option = self._best(here, plan)
        if option is None:
            return self._end(here, self._plan(here, ()) if plan.act is Act.TEST else plan)
        return None if option.test in here.ahead else self._to(here, option)

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
        within: dict[str, dict[str, int]] = {}
        for block in self._open_blocks(belief):
            fresh = block.step not in entered or (target is not None and target.step == block.step)
            within[block.step] = {
                test: way.steps
                for test, way in self._blocks[block.step].items()
                if not way.closed_by & broken and (test in once_more if test in belief.evidence else fresh)
            }
        ahead = frozenset[str]()
        if target is not None and target.step not in self._blocks:
            ahead = self._ahead(target, state.position.stack) - belief.evidence.keys()
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

    def _asked_ahead(self, target: Frame, stack: tuple[Frame, ...]) -> frozenset[str]:
        return asked_ahead(self._reasoner.model, self._library, target, stack)

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

    def _first(self, here: _Moment, plan: Plan) -> Option | None:
        """The cheap facts that are still to be had, before anything is weighed."""
        if plan.act is not Act.TEST:
            return None
        fresh = [option for option in plan.options if not option.again]
        for block in self._reasoner.model.blocks:
            tests = here.within.get(block.step, {}) if block.first else {}
            option = next((option for option in fresh if option.test in tests), None)
            if option is not None:
                return option
        return None

    def _best(self, here: _Moment, plan: Plan) -> Option | None:
        """The test that pays most and can be had, where testing pays."""
        if plan.act is not Act.TEST:
            return None
        return next((option for option in plan.options if option.test in here.tests), None)

    def _to(self, here: _Moment, option: Option) -> Led:
        """Into the block with the shortest way to the test."""
        steps = {step: tests[option.test] for step, tests in here.within.items() if option.test in tests}
        why = Plan(act=Act.TEST, name=option.test, minutes=0.0, odds=0.0, without_min=0.0, options=(option,))
        return Led(
            step=min(steps, key=lambda step: steps[step]),
            why=say_plan(self._reasoner, here.belief, why),
            briefly="" if option.again else f"Next the {self._reasoner.model.test(option.test).say}.",
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

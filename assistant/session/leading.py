"""The plan as the guide asks it: the next block, or the end of the tests, with the reason in one sentence."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from assistant.english import live as texts
from assistant.facts import Fact
from assistant.guide import Library, State
from assistant.guide.leading import block_of
from assistant.guide.places import step_at
from assistant.guide.state import Frame
from assistant.guide.turn import Known, Led
from assistant.procedure.condition import C
from assistant.procedure.model import Finding, Kind, Proof
from assistant.procedure.remedies import REPAIRED
from assistant.reasoning import findings
from assistant.reasoning.answers import say_result
from assistant.reasoning.costs import is_open
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.plan_words import say_briefly, say_doubt, say_last, say_plan
from assistant.reasoning.planner import MOST_MINUTES_A_BIT, Act, Plan
from assistant.reasoning.posterior import Belief, fault_odds
from assistant.reasoning.standing import Standing
from assistant.session.choice import Choice, with_first
from assistant.session.ends import end_of, seen_good
from assistant.session.stays import asked_for, ended, got_ready, of_faults_away
from assistant.session.thoughts import Thoughts
from assistant.session.ways import Moment, Ways

BESIDE = 0.5
"""What tests on the way to another count for, of what they tell by themselves. Judgement."""

MUCH_MORE = 2.0
"""How many times as much another test must pay before the rest of a block is put aside."""

TURN_MIN = 1.0
"""What it counts for beside its minutes that work is left in the middle and come back to. Judgement."""

LONG_MIN = 20.0
"""What takes so much longer than it was counted for is weighed once more, though one came for it. Judgement."""

AT_ONCE_MIN = 0.5
"""A question that takes no longer is asked before one leaves; what takes no time may end the job. Judgement."""

RIGGED = frozenset({C.LINE_OPEN, C.CAN_OUT, C.DUCT_OPEN, C.PROP_IN, C.TESTER_HUNG, C.PACK_ON, C.CLAMP_OFF})
"""What a block is not put aside in: the technician would have to take it down and set it up once more."""

DOUBTED = 0.2
"""From these odds on that a result was told wrong the plan goes for what decides it. Judgement."""

LEAST_BITS = 0.05
"""What a cheap fact tells at least that comes before all else is weighed. Judgement."""

BEYOND = 0.5
"""From these odds of one of its faults on a finding that the model does not know is passed over. Judgement."""


class Leader:
    """Chooses the blocks of one job."""

    def __init__(self, thoughts: Thoughts, library: Library) -> None:
        self._thoughts = thoughts
        self._reasoner = thoughts.reasoner
        self._library = library
        self._ways = Ways(thoughts, library)
        self._blocks = self._ways.blocks
        seen = {at.procedure for test in self._reasoner.model.tests for at in test.seen_from}
        self._makes_safe = frozenset(
            each.id
            for each in library.values()
            if each.id not in seen and any(step.clears_vapour or step.refits or step.removes for step in each.steps)
        )
        self._once: dict[tuple[str, str], list[tuple[str, Mapping[str, str]]]] = {}
        for test in self._reasoner.model.tests:
            for each in test.seen_from:
                if each.once:
                    self._once.setdefault((each.procedure, each.step), []).append((test.id, each.results))
        self._away = of_faults_away(self._reasoner.model)
        self._cheap = frozenset(block.step for block in self._reasoner.model.blocks if block.first)
        self._latest: tuple[Belief, Plan] | None = None

    def places(self) -> Mapping[str, tuple[str, ...]]:
        """Block -> its names, as they may be said."""
        return self._ways.places

    def plan(self, state: State) -> Plan:
        """The next test or repair from where the technician stands, as it would be led to."""
        here = self._ways.moment(state, (), state.at)
        plan = self._plan(here, here.ways)
        pursued = (choice for choice in self._choices(here, plan) if choice.option.test == here.pursued)
        choice = self._decides(here, plan, (), None) or next(pursued, None) or self._first(here, plan, None)
        choice = choice or self._best(here, plan)
        return with_first(plan, choice)

    def made_for(self, belief: Belief) -> Plan | None:
        """The plan that was made for this very belief when the guide asked last; None for any other."""
        return self._latest[1] if self._latest is not None and self._latest[0] is belief else None

    def __call__(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with, or the step that ends the tests; None for `target`, which the procedure enters by
        itself. A block that was entered is chosen again only for a second look, or where it goes on that was put aside,
        so that none comes for ever; nor is one for a test on whose way there is work that only a repair would allow.
        What the procedure found by itself is put aside, too, while another test pays. Where results do not fit, what
        decides comes next, and before any repair by them."""
        found = step_at(self._library, target).finding if target is not None else None
        if state.repaired is not None or (target is not None and self._goes_on(state, target, found)):
            return None
        here = self._ways.moment(state, facts, target)
        plan = self._plan(here, here.ways)
        settles = self._decides(here, plan, facts, found)
        self._latest = here.belief, with_first(plan, settles)
        if found is not None and settles is None and self._stands(here, plan, found):
            return None
        if target is not None and target.step not in self._blocks and found is None:
            if plan.act is Act.TEST:
                return self._leave(here, plan, target)
            if settles is None:
                return end_of(self._library, self._reasoner, here, plan)
            leave = settles.way.block and self._may_leave(here, target)
            return replace(self._to(here, settles), aside=True) if leave else None
        choice = self._first(here, plan, target) or settles or self._best(here, plan)
        ended = step_at(self._library, state.at).finding if target is None else None
        if choice is None and ended is not None and not self._is_settled(here, ended):
            choice = self._most_telling(here, plan)
        if choice is None:
            end = self._plan(here, ()) if plan.act is Act.TEST else plan
            same = found is not None and self._reasoner.model.meant_by(found.fault or "") == end.name
            return None if same and end.act is Act.REPAIR else end_of(self._library, self._reasoner, here, end)
        if target is not None and choice.way.back is None and choice.way.block == target.step:
            return None
        return replace(self._to(here, choice), aside=found is not None and found.fault != findings.OPEN)

    def _leave(self, here: Moment, plan: Plan, target: Frame) -> Led | None:
        """From the middle of a block to another: once a second look is done, for all else there was done before; or,
        with the test done that it was entered for, where another test pays much more than all that lies ahead, which is
        put aside and come back to. Never out of what only makes safe or sets up, as clearing vapour or a jump pack."""
        choices = self._choices(here, plan)
        best = max(choices, key=lambda choice: choice.rate, default=None)
        if best is None or not best.way.block:
            return None
        if here.looked_again:
            return self._to(here, best)
        told = self._first(here, plan, target)
        if told is not None and told.way.block not in self._cheap and self._may_leave(here, target):
            return replace(self._to(here, told), aside=True)
        ahead = max((choice.rate for choice in choices if not choice.way.block), default=0.0)
        paid = best.rate * best.option.counted_min / (best.option.counted_min + TURN_MIN)
        if (here.pursued and not self._drags_on(here)) or paid < MUCH_MORE * ahead or not self._may_leave(here, target):
            return None
        return replace(self._to(here, best), aside=True)

    def _drags_on(self, here: Moment) -> bool:
        """Whether what was come for takes far longer than it was counted for, as an hour on a charger."""
        work = self._reasoner.model.test(here.pursued).work
        return here.ways[here.pursued].minutes > LONG_MIN + (work.minutes if work is not None else 0.0)

    def _may_leave(self, here: Moment, target: Frame) -> bool:
        """Whether the rest of the block can wait: nothing is rigged, and what comes is no short question."""
        if here.state.bay.conditions & RIGGED:
            return False
        if block_of(here.state) in self._cheap:
            return False
        if target.procedure in self._makes_safe and not (here.pursued and self._drags_on(here)):
            return False
        step = step_at(self._library, target)
        return step.minutes > AT_ONCE_MIN or step.kind not in (Kind.ASK, Kind.READING, Kind.CHOOSE, Kind.RETURN)

    def rather(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The block to go on with where what is asked here cannot be done; None where what pays most lies ahead."""
        here = self._ways.moment(state, facts, target)
        plan = self._plan(here, here.ways)
        choice = self._best(here, plan)
        if choice is None:
            return end_of(self._library, self._reasoner, here, self._plan(here, ()) if plan.act is Act.TEST else plan)
        return self._to(here, choice) if choice.way.block else None

    def closed(self, state: State, facts: Sequence[Fact], block: str) -> str:
        """Why this block may not be entered by word now; empty where it may."""
        known = next((each for each in self._reasoner.model.blocks if each.step == block), None)
        if known is None or block not in self._blocks:
            return texts.UNKNOWN_TEST
        belief, _ = self._thoughts.after(facts)
        if not is_open(known.opened_by, belief.evidence):
            return texts.only_follows(self._reasoner.model.test(known.opened_by[0].test).say)
        return "" if is_open(known.cranked_by, belief.evidence) else texts.only_after_crank(known.say)

    def ended(self, state: State, facts: Sequence[Fact], target: Frame) -> str:
        """Why the block that the technician named ends before its test showed anything, in one sentence; else empty."""
        here = block_of(state)
        tests = self._blocks.get(here, {}).keys()
        others = {test for step, them in self._blocks.items() if step != here for test in them}
        words = ended(state, target, self._thoughts, facts, frozenset(tests - others or tests))
        return texts.named_test_ends(self.places()[here][0], words) if words else ""

    def follows(self, state: State) -> Led | None:
        """The procedure that looks for what the repair that held left open."""
        named = self._reasoner.model.meant_by(state.mended)
        fault = next((one for one in self._reasoner.model.faults if one.id == named), None)
        if fault is None or fault.followed_by not in self._library:
            return None
        return Led(step=fault.followed_by, why=fault.leaves_open)

    def known(self, state: State, facts: Sequence[Fact]) -> Known | None:
        """The answer to what the step asks, where the model has it asked `once` and the result of its test is known.
        What the plan came to look at a second time is asked."""
        here = self._once.get((state.at.procedure, state.at.step))
        if here is None:
            return None
        belief, _ = self._thoughts.after(facts)
        for test, means in here:
            value = belief.evidence.get(test)
            result = next((result for result, meant in means.items() if meant == value), None)
            if result is not None and self._thoughts.pursued(facts, belief) != test:
                return Known(result=result, test=test, words=say_result(self._reasoner.model, test, str(value)))
        return None

    def _plan(self, here: Moment, among: Collection[str]) -> Plan:
        """Tests are weighed by their whole ways, against each other and against the repair. A search by the maker's
        information, counted for two hours, does not begin while a test is left that is worth its minutes: weighed by
        minutes alone one job in five ended so, the fuel pressure not measured."""
        among = {*among, *here.behind} if among else among
        minutes = {test: way.minutes for test, way in here.ways.items()}
        plan = self._thoughts.plan(here.state, here.belief, among, here.cannot, minutes)
        if plan.act is not Act.SEARCH or not plan.options or plan.options[0].rate * MOST_MINUTES_A_BIT < 1.0:
            return plan
        first = plan.options[0]
        return replace(plan, act=Act.TEST, name=first.test, minutes=first.minutes)

    def _goes_on(self, state: State, target: Frame, found: Finding | None) -> bool:
        """Whether the procedure goes on to this step, or ends in it, whatever the plan would rather do."""
        if self._is_beside(state):
            return True
        inside = found is None and target.step not in self._blocks
        if inside and {target.procedure, step_at(self._library, target).calls} & self._away:
            return True  # it runs now: what is not there at present shows in no other test
        if (
            got_ready(self._library, state, target)
            or (inside and asked_for(self._library, state, self._thoughts))
            or not self._blocks
        ):
            return True
        if found is None or found.repair is Proof.FAILS or found.fault == findings.OPEN:
            led = self._library[state.root].led
            return found is not None and led is not None and target.step in (led.repair, led.search)
        return bool(state.bay.conditions & REPAIRED) or self._reasoner.model.meant_by(found.fault or "") is None

    def _is_beside(self, state: State) -> bool:
        """Whether one stands in a procedure that followed a repair, which goes its own way."""
        led, first = self._library[state.root].led, (*state.position.stack, state.at)[0].procedure
        return first not in (state.root, led.recheck if led is not None else "")

    def _stands(self, here: Moment, plan: Plan, found: Finding) -> bool:
        """Whether the job ends in what the procedure found: it is as good as proved, or no test pays any more and no
        other fault is likelier. One beyond the model stands then while none of the model's is likelier than not."""
        if found.repair is Proof.FAILS or found.fault == findings.OPEN:
            return False
        if self._reasoner.model.meant_by(found.fault or "") == NONE_OF_THESE:
            odds = fault_odds(self._reasoner.network, here.belief)
            likeliest = max(chance for fault, chance in odds.items() if fault != NONE_OF_THESE)
            return plan.act is not Act.TEST and likeliest < BEYOND
        standing = findings.finding_stands(self._reasoner, here.belief, found.fault)
        if standing is Standing.OUTWEIGHED:
            return False
        return standing is Standing.PROVED or plan.act is not Act.TEST

    def _is_settled(self, here: Moment, found: Finding) -> bool:
        """Whether the procedure found by itself what leaves nothing to test: it is proved, or beyond the model, as an
        engine that turns too tight to be cranked again."""
        if found.fault is None or found.fault == findings.OPEN:
            return False
        beyond = self._reasoner.model.meant_by(found.fault) in (None, NONE_OF_THESE)
        return beyond or findings.finding_stands(self._reasoner, here.belief, found.fault) is Standing.PROVED

    def _first(self, here: Moment, plan: Plan, target: Frame | None) -> Choice | None:
        """The cheap facts that are still to be had, and what was told to be the matter, before all else is weighed. One
        to which the procedure would not go by itself comes so only where it tells something of this car."""
        fresh = [each for each in self._choices(here, plan) if not each.option.again]
        for block in self._reasoner.model.blocks:
            first = block.first or (block.first_when and is_open(block.first_when, here.belief.evidence))
            there = [choice for choice in fresh if first and choice.way.block == block.step]
            best = max(there, key=lambda choice: choice.rate, default=None)
            needed = not block.first or (target is not None and target.step == block.step)
            if best is not None and (needed or best.option.gain_bits >= LEAST_BITS):
                return best
        return None

    def _best(self, here: Moment, plan: Plan) -> Choice | None:
        """The test that pays most where it can be had, where testing pays."""
        return max(self._choices(here, plan), key=lambda choice: choice.rate, default=None)

    def _most_telling(self, here: Moment, plan: Plan) -> Choice | None:
        """The test that tells most a minute, whether or not it pays: at a finding somebody wants one more."""
        had = [choice for choice in self._had(here, plan) if choice.way.block and choice.rate > 0.0]
        return max(had, key=lambda choice: choice.rate, default=None)

    def _decides(self, here: Moment, plan: Plan, facts: Sequence[Fact], found: Finding | None) -> Choice | None:
        """What comes before any repair: what settles a doubt, or a cheap test that tells what is to be mended, as a
        spare key does. `found`: the finding that the procedure would end in."""
        settles = self._settles(here, plan, facts)
        if settles is not None or plan.act is Act.TEST:  # a finding stands or falls by itself while tests pay
            return settles
        proposed = plan.name if plan.act is Act.REPAIR and plan.name not in here.failed else ""
        if not proposed and (found is None or found.fault == findings.OPEN):
            return self._before_search(here, plan)
        ends = found.fault if found is not None and found.fault != findings.OPEN else None
        fault = self._reasoner.model.meant_by(ends) if ends else proposed
        tried = () if fault in ("", None, NONE_OF_THESE) else self._reasoner.model.fault(str(fault)).tried_first
        left = (choice for choice in self._had(here, plan) if choice.option.test in tried and not choice.option.again)
        return max(left, key=lambda choice: choice.rate, default=None)

    def _before_search(self, here: Moment, plan: Plan) -> Choice | None:
        """What is tested before one searches by the maker's information, since all else was seen good: by the odds its
        faults are too rare to be worth it, yet whoever searches begins with the same test. In its block one goes on,
        and so where the same test lies ahead in another."""
        model, root = self._reasoner.model, self._library[here.state.root]
        last = {
            each.step
            for each in model.blocks
            if each.before_search and seen_good(self._reasoner, here.belief, {*each.before_search})
        }
        called = {root.step(step).calls for step in last}
        asked = {test.id for test in model.tests if {at.procedure for at in test.seen_from} & called}
        left = [
            replace(choice, last=True)
            for choice in self._had(here, plan)
            if (choice.way.block or block_of(here.state)) in last
            or (not choice.way.block and choice.option.test in asked)
        ]
        return max((each for each in left if not each.option.again), key=lambda choice: choice.rate, default=None)

    def _settles(self, here: Moment, plan: Plan, facts: Sequence[Fact]) -> Choice | None:
        """Where results do not fit together, what tells soonest whether the one most in doubt was told wrong: once for
        each, and before a repair too. What decides nothing is not gone for."""
        doubted = self._thoughts.doubted(here.belief, plan.options)
        if doubted is None or doubted.odds < DOUBTED or doubted.test in self._thoughts.settled(facts):
            return None
        choice = next(each for each in self._had(here, plan) if each.option == doubted.settles)
        return replace(choice, doubted=doubted)

    def _choices(self, here: Moment, plan: Plan) -> list[Choice]:
        """Every test that can be had, none where testing does not pay."""
        return self._had(here, plan) if plan.act is Act.TEST else []

    def _had(self, here: Moment, plan: Plan) -> list[Choice]:
        """Every test that can be had. What else is told on the way counts half, for it tells much the same; and it must
        come out so that it leads there."""
        gains = {option.test: option.gain_bits for option in plan.options}
        found = []
        for option in plan.options:
            way = here.ways[option.test]
            beside = sum(gains.get(test, 0.0) for test in way.inside.asks if test not in here.belief.evidence)
            rate = (way.share * option.gain_bits + BESIDE * beside) / option.counted_min
            found.append(Choice(option=option, way=way, rate=rate))
        return found

    def _to(self, here: Moment, choice: Choice) -> Led:
        """Into the block."""
        option = choice.option
        doubted = choice.doubted
        return Led(
            step=choice.way.block,
            why=self._why(here, choice),
            briefly=say_briefly(self._reasoner, option, choice.way.block),
            test=option.test,
            again=option.again,
            back=choice.way.back,
            settles=doubted.test if doubted else "",
        )

    def _why(self, here: Moment, choice: Choice) -> str:
        """Why this test comes next, in one sentence."""
        if choice.doubted is not None:
            return say_doubt(self._reasoner, choice.doubted)
        if choice.last:
            return say_last(self._reasoner, choice.option)
        test = choice.option.test
        plan = Plan(act=Act.TEST, name=test, minutes=0.0, odds=0.0, without_min=0.0, options=(choice.option,))
        return say_plan(self._reasoner, here.belief, plan)

"""Where each test can be had now: ahead, in a block that may be entered, or where one goes on that was put aside."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from assistant.facts import Fact
from assistant.guide import Library, State
from assistant.guide.leading import block_of
from assistant.guide.places import step_at
from assistant.guide.plan_changes import second_look
from assistant.guide.state import Frame, Position
from assistant.procedure.remedies import REPAIRED
from assistant.reasoning.costs import allowed, is_open
from assistant.reasoning.model import Block
from assistant.reasoning.posterior import Belief
from assistant.session.blocks import Inside, Walk
from assistant.session.place_names import places_of
from assistant.session.thoughts import Thoughts

LIKELY = 0.35
"""A way that leads to its test more seldom than this is none: what is said to come next should come. Judgement."""

SELDOM = 0.05
"""A result counts as at least so likely where it leads to a test: one that was seen otherwise may be told anew."""

InBlocks = Mapping[str, Mapping[str, Inside]]
Ahead = Callable[[Frame, Sequence[Frame]], Mapping[str, Inside]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """Where a test is had: in which block, empty where it lies ahead; `back`: where that goes on, put aside half done;
    `share`: how likely that way comes to it; `minutes`: until its result, the steps before it as written."""

    block: str
    back: Position | None
    inside: Inside
    share: float
    minutes: float

    @property
    def far(self) -> float:
        """By what two ways to a test are compared."""
        return self.minutes / self.share


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """What is believed and can be done now. `ways`: every test that can be had, with its best way; `behind`: those that
    one of them may open the way to; `pursued`: the test that the plan led to, while it lies ahead; `looked_again`: it
    was a second look, and is done."""

    state: State
    belief: Belief
    cannot: frozenset[str]
    failed: frozenset[str]
    ways: Mapping[str, Way]
    behind: frozenset[str]
    pursued: str
    looked_again: bool


class Ways:
    """Finds where the tests of one job are had."""

    def __init__(self, thoughts: Thoughts, library: Library) -> None:
        self._thoughts = thoughts
        self._model = thoughts.reasoner.model
        self._library = library
        self._facts = frozenset(step.vehicle for each in library.values() for step in each.steps if step.vehicle)
        self._known = lru_cache(maxsize=4)(self._walk)
        self.blocks = Walk(self._model, library).in_blocks()
        self.places = places_of(self._model, self.blocks)

    def moment(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Moment:
        """What is believed and can be done where the procedure would enter `target`. `facts`: of this turn so far."""
        belief, cannot = self._thoughts.after(facts)
        pursued = self._thoughts.pursued(facts, belief)
        odds = {test: after.chances for test, after in self._thoughts.foreseen(belief).items()}
        ways: dict[str, Way] = {}
        reach = set[str]()
        for block, back, tests in self._places(state, target, belief, pursued):
            for test, inside in tests.items():
                share = _share(inside, belief, odds)
                way = Way(block=block, back=back, inside=inside, share=share, minutes=self._minutes(test, inside))
                if share > 0.0:
                    reach.add(test)
                if share >= LIKELY and (test not in ways or way.far < ways[test].far):
                    ways[test] = way
        return Moment(
            state=state,
            belief=belief,
            cannot=cannot,
            failed=self._thoughts.failed(facts),
            ways=ways,
            behind=frozenset(test for test in reach - ways.keys() if not self._is_open(test, belief)),
            pursued=pursued if pursued in ways and not ways[pursued].block else "",
            looked_again=self._thoughts.looked_again(facts, belief),
        )

    def _places(
        self, state: State, target: Frame | None, belief: Belief, pursued: str
    ) -> Iterator[tuple[str, Position | None, Mapping[str, Inside]]]:
        """Block, where it goes on if it was put aside, and the tests to be had there; the first lies ahead."""
        blocks, ahead = self._known(
            frozenset((fact, state.vehicle[fact]) for fact in self._facts & state.vehicle.keys())
        )
        # What lies behind an end is not come to.
        if target is not None and target.step not in self.blocks and step_at(self._library, target).finding is None:
            tests = ahead(target, state.position.stack).items()
            yield "", None, {test: way for test, way in tests if test == pursued or test not in belief.evidence}
        yield from ((block, None, tests) for block, tests in self._within(blocks, state, target, belief).items())
        broken = state.bay.conditions & REPAIRED
        for step, back in state.left.items():
            tests = ahead(back.at, back.stack).items()
            fresh = {test: way for test, way in tests if test not in belief.evidence and not way.closed_by & broken}
            yield step, back, fresh

    def _walk(self, vehicle: frozenset[tuple[str, object]]) -> tuple[InBlocks, Ahead]:
        """The tests in each block, and those ahead of a step, of a car of which this is known."""
        walk = Walk(self._model, self._library, dict(vehicle))
        return walk.in_blocks(), lru_cache(maxsize=1024)(walk.ahead)

    def _within(
        self, blocks: InBlocks, state: State, target: Frame | None, belief: Belief
    ) -> Mapping[str, Mapping[str, Inside]]:
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
                for test, way in blocks[block.step].items()
                if not way.closed_by & broken and (test in once_more if test in belief.evidence else fresh)
            }
        return found

    def _minutes(self, test: str, inside: Inside) -> float:
        """Until its result, and until what it leaves about is gone: nobody is led elsewhere before."""
        work = self._model.test(test).work
        if work is None:
            return inside.minutes
        return (
            inside.minutes + work.minutes + sum(each.minutes for each in self._model.lingers if each.id in work.leaves)
        )

    def _is_open(self, test: str, belief: Belief) -> bool:
        """Whether what opens the way to a test was seen, or it needs nothing."""
        variable = self._model.test(test)
        return variable.work is None or allowed(variable, belief.evidence)

    def _open_blocks(self, belief: Belief) -> list[Block]:
        blocks = self._model.blocks
        return [
            each
            for each in blocks
            if each.step in self.blocks
            and is_open(each.opened_by, belief.evidence)
            and is_open(each.cranked_by, belief.evidence)
        ]


def _share(inside: Inside, belief: Belief, odds: Mapping[str, Mapping[str, float]]) -> float:
    """How likely this way comes to its test. `odds`: of the values of each test that was not done."""
    share = inside.chance
    for needed, values in inside.needs:
        if needed not in belief.evidence:
            share *= max(sum(odds.get(needed, {}).get(value, 0.0) for value in values), SELDOM)
        elif belief.evidence[needed] not in values:
            return 0.0
    return share

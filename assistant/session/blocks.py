"""Which tests each block of a procedure asks: the block's own steps and all that they call, up to the next block.

A plan weighs tests one by one, but a technician is led into a block at its beginning: what stands before a test there
takes its minutes too, and leads on to the test only where it comes out so.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count

from assistant.guide import Library
from assistant.guide.places import OPEN_ANSWERS
from assistant.guide.state import Frame
from assistant.procedure.condition import Condition
from assistant.procedure.flow import OTHERWISE, Way, ways_of
from assistant.procedure.forbidden import forbids
from assistant.procedure.model import Kind, Step
from assistant.reasoning.model import Model

SAYS_NOTHING = OPEN_ANSWERS | {"unseen", "untested"}
"""Answers that nobody gives who could look. The first answer to a question that tells nothing of the fault is the usual
one; any other is as likely as one of those that say something."""

GUESSED = frozenset({Kind.ASK, Kind.CRANK})
"""Kinds of step of which an answer that is not the first, and tells nothing of a test, is not counted on: that an
engine starts which never did, as little as that a car is built as few are."""

UNLIKELY_MIN = 10.0
"""So many minutes a way counts for longer where a test on it must show something wrong: else what only follows a flat
battery would seem near. Judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """The way to a test in a block. `minutes`: of the steps before its own, as written, `detour_min` for what seldom
    comes out so; `asks`: the tests asked there; `needs`: what they must show for it, test and values; `chance`: how
    likely what tells nothing of the fault is answered so; `closed_by`: what forbids a step."""

    minutes: float = 0.0
    detour_min: float = 0.0
    asks: frozenset[str] = frozenset()
    needs: tuple[tuple[str, frozenset[str]], ...] = ()
    chance: float = 1.0
    closed_by: frozenset[Condition] = field(default_factory=frozenset)

    @property
    def far(self) -> float:
        """By what ways are compared."""
        return self.minutes + self.detour_min

    def then(self, other: Inside) -> Inside:
        """This way, and then the other."""
        return Inside(
            minutes=self.minutes + other.minutes,
            detour_min=self.detour_min + other.detour_min,
            asks=self.asks | other.asks,
            needs=self.needs + other.needs,
            chance=self.chance * other.chance,
            closed_by=self.closed_by | other.closed_by,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Asked:
    """A test asked at a step: `means`: answer -> value of the test; `healthy`: the value that shows nothing wrong."""

    test: str
    means: Mapping[str, str]
    healthy: str


_Asks = Mapping[tuple[str, str], Sequence[_Asked]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Walked:
    """What lies behind a step. `tests`: the way to each; `returns`: outcome of the procedure -> the way to it."""

    tests: Mapping[str, Inside]
    returns: Mapping[str, Inside]


class Walk:
    """Looks for the nearest way to each test, through calls and back, on a car of which this is known."""

    def __init__(self, model: Model, library: Library, vehicle: Mapping[str, object] | None = None) -> None:
        self._vehicle = vehicle or {}
        self._root = model.id
        self._library = library
        self._asks = _asks(model)
        self._blocks = [block.step for block in model.blocks]
        self._called: dict[str, _Walked] = {}

    def in_blocks(self) -> Mapping[str, Mapping[str, Inside]]:
        """Block -> the tests that its steps ask, each with the way there; empty for another procedure."""
        blocks = self._blocks if self._root in self._library else ()
        return {block: self._behind(Frame(procedure=self._root, step=block)).tests for block in blocks}

    def ahead(self, target: Frame, stack: Sequence[Frame]) -> Mapping[str, Inside]:
        """The tests that may be asked from a step on, in its procedure and behind the calls that wait, in this block.
        `stack`: those calls, outermost first; each goes on as its outcome says, with what leads to that."""
        here = self._behind(target)
        found, returns = dict(here.tests), here.returns
        for caller in reversed(stack):
            onward = dict[str, Inside]()
            for result in self._library[caller.procedure].step(caller.step).results:
                if result.id not in returns or self._ends_at(caller.procedure, result.goes):
                    continue
                behind = self._behind(Frame(procedure=caller.procedure, step=result.goes))
                for test, way in behind.tests.items():
                    _keep(found, test, returns[result.id].then(way))
                for outcome, way in behind.returns.items():
                    _keep(onward, outcome, returns[result.id].then(way))
            returns = onward
        return found

    def _ends_at(self, procedure: str, step: str) -> bool:
        """Whether another block begins there."""
        return procedure == self._root and step in self._blocks

    def _behind(self, begin: Frame) -> _Walked:
        """What may be asked from this step on, in its procedure and those that it calls."""
        tests, returns = dict[str, Inside](), dict[str, Inside]()
        number, done = count(), set[str]()
        waiting = [(0.0, next(number), begin.step, Inside())]
        while waiting:
            _, _, step_id, before = heapq.heappop(waiting)
            if step_id in done:
                continue
            done.add(step_id)
            step = self._library[begin.procedure].step(step_id)
            here = before.then(Inside(closed_by=forbids(step)))
            for asked in self._asks.get((begin.procedure, step_id), ()):
                _keep(tests, asked.test, here)
            if step.kind is Kind.RETURN and step.outcome is not None:
                _keep(returns, step.outcome, here)
            for goes, way in self._onward(begin.procedure, step, here, tests):
                if not self._ends_at(begin.procedure, goes):
                    heapq.heappush(waiting, (way.far, next(number), goes, way))
        return _Walked(tests=tests, returns=returns)

    def _onward(
        self, procedure: str, step: Step, here: Inside, tests: dict[str, Inside]
    ) -> Iterator[tuple[str, Inside]]:
        """Where the step leads and the way there; what is asked in a procedure that it calls joins `tests`."""
        if step.kind is Kind.CALL and step.calls is not None and step.calls in self._library:
            called = self._behind_call(step.calls)
            for test, inside in called.tests.items():
                _keep(tests, test, here.then(inside))
            for result in step.results:
                if result.id in called.returns:
                    yield result.goes, here.then(called.returns[result.id])
            return
        asked = self._asks.get((procedure, step.id), ())
        ways = self._ways(step)
        spoken = [way for way in ways if way.answer not in SAYS_NOTHING]
        for goes in dict.fromkeys(way.goes for way in ways):
            answers = {way.answer or "" for way in ways if way.goes == goes}
            told = {each: frozenset(each.means[one] for one in answers if one in each.means) for each in asked}
            needs = [(each, values) for each, values in told.items() if values and values < set(each.means.values())]
            usual = ways[0].goes == goes or any(told.values()) or step.kind not in GUESSED or step.vehicle is not None
            chance = 1.0 if usual else sum(way.goes == goes for way in spoken) / max(1, len(spoken))
            chance /= max((_parted(each, values, ways) for each, values in needs), default=1)
            own = Inside(
                minutes=step.minutes,
                detour_min=UNLIKELY_MIN * (not usual or any(each.healthy not in values for each, values in needs)),
                asks=frozenset(each.test for each in asked),
                needs=tuple((each.test, values) for each, values in needs),
                chance=chance,
            )
            yield goes, here.then(own)

    def _ways(self, step: Step) -> Sequence[Way]:
        """The ways out of a step; the one for what is known of the car, where it goes by that. What is not known of it
        may be so or not, and neither is unusual."""
        ways = ways_of(step)
        known = str(self._vehicle.get(step.vehicle or "", ""))
        if not known or step.kind not in (Kind.ASK, Kind.CHOOSE):
            return ways
        fits = [way for way in ways if way.answer == known]
        if not fits and step.kind is Kind.CHOOSE:
            fits = [way for way in ways if way.answer == OTHERWISE]
        return fits or ways

    def _behind_call(self, called: str) -> _Walked:
        if called not in self._called:
            self._called[called] = self._behind(Frame(procedure=called, step=self._library[called].begin))
        return self._called[called]


def _parted(asked: _Asked, values: frozenset[str], ways: Sequence[Way]) -> int:
    """To how many steps the answers lead that all mean one of these values."""
    return len({way.goes for way in ways if asked.means.get(way.answer or "") in values})


def _keep(found: dict[str, Inside], name: str, way: Inside) -> None:
    """Of two ways the nearer."""
    if name not in found or way.far < found[name].far:
        found[name] = way


def _asks(model: Model) -> _Asks:
    """Place -> the tests that it asks; not those done before one comes there."""
    asks: dict[tuple[str, str], list[_Asked]] = {}
    for test in model.tests:
        for seen in (seen for seen in test.seen_from if not seen.done_before):
            told = _Asked(test=test.id, means=seen.results, healthy=test.values[0].id)
            asks.setdefault((seen.procedure, seen.step), []).append(told)
    return asks

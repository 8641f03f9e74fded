"""The plan as the search sees it: wherever it is asked, any block may come next, not only its favourite.

More is walked than the real planner could choose: blocks entered before, blocks not opened by any result, tests that
it would not find worth their minutes, and coming back to every step where it could have put a block aside, whether it
did or not. Within a block, where the plan may end the tests or put the rest aside, it is not asked here: "another test"
is said there, and leads to each end of the tests as to each block.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterator, Sequence
from dataclasses import replace

from assistant.facts import Fact
from assistant.guide import Library, State
from assistant.guide.places import step_at
from assistant.guide.state import Frame, Position
from assistant.guide.turn import Known, Led
from assistant.procedure.condition import Condition
from assistant.procedure.flow import ways_of
from assistant.procedure.model import Kind, Proof
from assistant.procedure.remedies import FORBIDDING
from assistant.reasoning.findings import OPEN

Script = tuple[str | Position | None, ...]
"""What is chosen, one boundary after the other: a block, or where one goes on that was put aside; None: the block that
the procedure enters by itself."""

ANY_FAULT = "any-fault"
"""Whose repair is proposed: to the guide it is a name and no more."""


CHANGED_OFTEN = frozenset({Condition.KEY_ON, Condition.PRESSURE_UP})


def is_walked_aside(so: frozenset[Condition]) -> bool:
    """Whether what leads aside is walked on where this is so: with each thing by itself, key and pressure besides, and
    heat with an engine that runs.

    Each row of the table looks at one condition alone. By the book, and on the procedure's own ways, everything that is
    so together is walked; with every two of them aside it takes an hour more.
    """
    beside = {Condition.ENGINE_HOT} if Condition.ENGINE_RUNS in so else set()
    return len((so & FORBIDDING) - CHANGED_OFTEN - beside) <= 1


class AnyBlock:
    """Chooses by a script, and keeps where it was asked beyond it, so that every other choice can be walked too."""

    def __init__(self, blocks: Collection[str], library: Library, root: str, script: Script = ()) -> None:
        """`blocks`: of the root procedure; what only a plan enters there is led to as well."""
        led = library[root].led
        self._blocks = tuple(dict.fromkeys((*blocks, *(led.only if led else ()))))
        self._library = library
        self._root = root
        self._script = script
        self._place = 0
        self._asked = len(script)
        self._bays: list[Hashable] = []

    @property
    def asked(self) -> bool:
        """Whether it was asked beyond its script."""
        return self._asked > len(self._script)

    def begin(self) -> AnyBlock:
        """The same from the beginning of its script."""
        self._place = 0
        return self

    def then(self, script: Script = ()) -> AnyBlock:
        """The same with another script."""
        return AnyBlock(self._blocks, self._library, self._root, script)

    def __call__(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The next of the script, where the plan would be asked at all."""
        if target is not None and not self._is_asked_at(target):
            return None
        self._place += 1
        if self._place > self._asked:
            self._asked = self._place
            self._bays.append((state.bay.conditions & FORBIDDING, bool(state.open_items)))
        chosen = self._script[self._place - 1] if self._place <= len(self._script) else None
        if isinstance(chosen, Position):
            return Led(step=(*chosen.stack, chosen.at)[0].step, why="Back to that.", back=chosen)
        return None if chosen is None else Led(step=chosen, why=f"Next {chosen}.", fault=ANY_FAULT)

    def rather(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """As for another test."""
        return self(state, facts, None)

    def closed(self, state: State, facts: Sequence[Fact], block: str) -> str:
        """No block is closed here."""
        return ""

    def ended(self, state: State, facts: Sequence[Fact], target: Frame) -> str:
        """No block was named here."""
        return ""

    def follows(self, state: State) -> Led | None:
        """Nothing is offered here: what follows a repair is walked as a job of its own."""
        return None

    def known(self, state: State, facts: Sequence[Fact]) -> Known | None:
        """Everything is asked here: what is passed over is no other way than its answer."""
        return None

    def others(self) -> Iterator[tuple[Script, Hashable]]:
        """Scripts with one choice more, at each boundary that was met beyond this one, no block twice in a turn; and
        what is so of the bay there."""
        for beyond, bay in enumerate(self._bays):
            own = (None,) * beyond
            yield from (((*self._script, *own, block), bay) for block in self._blocks if block not in self._script)

    def _is_asked_at(self, target: Frame) -> bool:
        """Between blocks, at an end that leaves the fault open, and where a repair did not cure."""
        found = step_at(self._library, target).finding
        if found is not None and found.repair is Proof.FAILS:
            return True
        if target.procedure != self._root:
            return False
        led = self._library[self._root].led
        ends = () if led is None else (led.repair, led.search)
        is_open = found is not None and found.fault == OPEN
        return target.step not in ends and (target.step in self._blocks or is_open)


class PutAside:
    """Where blocks may have been put aside, each to be come back to once for each state of the bay: as a block is
    entered alike from wherever it is left for, so it goes on alike."""

    def __init__(self, positions: Sequence[Position]) -> None:
        self._positions = positions
        self._done: set[Hashable] = set()
        self._entered: set[Hashable] = set()

    def is_first(self, block: object, so: Hashable) -> bool:
        """Whether a block is now entered aside for the first time in this state."""
        is_first = (block, so) not in self._entered
        self._entered.add((block, so))
        return is_first

    def due(self, left: str, so: Hashable) -> Iterator[Position]:
        """Those not come back to in this state, but for what waits in the block that is left: that is no other test."""
        done = frozenset(self._done)
        for position in self._positions:
            root = (*position.stack, position.at)[0].step
            if root != left and (root, so) not in done:
                self._done.add((root, so))
                yield position


def put_aside(library: Library, root: str, blocks: Collection[str]) -> tuple[Position, ...]:
    """Every step within a block, the steps of what it calls among them, where the rest may wait to be come back to."""
    found: dict[Position, None] = {}
    for block in blocks:
        due = [Position(at=Frame(procedure=root, step=block))]
        while due:
            here = due.pop()
            step = step_at(library, here.at)
            inner = _behind(library, here, step.kind)
            for goes in [each for each in inner if each not in found]:
                if goes.at.procedure != root or goes.at.step not in blocks:
                    found[goes] = None
                    due.append(goes)
    return tuple(found)


def _behind(library: Library, here: Position, kind: Kind) -> list[Position]:
    """Where it goes from here, into what is called and past it."""
    step = step_at(library, here.at)
    onward = [replace(here, at=Frame(procedure=here.at.procedure, step=way.goes)) for way in ways_of(step)]
    if kind is Kind.CALL and step.calls in library:
        begin = Frame(procedure=str(step.calls), step=library[str(step.calls)].begin)
        onward.append(Position(at=begin, stack=(*here.stack, here.at)))
    return onward

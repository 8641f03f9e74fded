"""The plan as the search sees it: wherever it is asked, any block may come next, not only its favourite.

More is walked than the real planner could choose: blocks entered before, blocks not opened by any result, and tests
that it would not find worth their minutes. Within a block, where the plan may only end the tests, it is not asked here:
"another test" is said there, and leads to each end of the tests as to each block.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from assistant.facts import Fact
from assistant.guide import Library, State
from assistant.guide.places import step_at
from assistant.guide.state import Frame
from assistant.guide.turn import Led
from assistant.procedure.model import Proof
from assistant.reasoning.findings import OPEN

Script = tuple[str | None, ...]
"""What is chosen, one boundary after the other; None: the block that the procedure enters by itself."""

ANY_FAULT = "any-fault"
"""Whose repair is proposed: to the guide it is a name and no more."""


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

    @property
    def asked(self) -> bool:
        """Whether it was asked beyond its script."""
        return self._asked > len(self._script)

    def begin(self) -> AnyBlock:
        """The same from the beginning of its script."""
        self._place = 0
        return self

    def then(self, script: Script) -> AnyBlock:
        """The same with another script."""
        return AnyBlock(self._blocks, self._library, self._root, script)

    def __call__(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """The next of the script, where the plan would be asked at all."""
        if target is not None and not self._is_asked_at(target):
            return None
        self._place += 1
        self._asked = max(self._asked, self._place)
        step = self._script[self._place - 1] if self._place <= len(self._script) else None
        return None if step is None else Led(step=step, why=f"Next {step}.", fault=ANY_FAULT)

    def rather(self, state: State, facts: Sequence[Fact], target: Frame | None) -> Led | None:
        """As for another test."""
        return self(state, facts, None)

    def closed(self, state: State, facts: Sequence[Fact], block: str) -> str:
        """No block is closed here."""
        return ""

    def others(self) -> Iterator[Script]:
        """Scripts with one choice more, at each boundary that was met beyond this one; no block twice in a turn."""
        for met in range(len(self._script), self._asked):
            own = (None,) * (met - len(self._script))
            yield from ((*self._script, *own, block) for block in self._blocks if block not in self._script)

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

"""The plan as the search sees it: wherever it is asked, any block may come next, not only its favourite.

More is walked than the real planner could choose: blocks entered before, blocks not opened by any result, and tests
that it would not find worth their minutes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.facts import Fact
from assistant.guide import State
from assistant.guide.turn import Led

Script = tuple[str | None, ...]
"""What is chosen, one boundary after the other; None: the block that the procedure enters by itself."""


class AnyBlock:
    """Chooses by a script, and keeps where it was asked beyond it, so that every other choice can be walked too."""

    def __init__(self, blocks: Sequence[str], ends: frozenset[str], script: Script = ()) -> None:
        """`ends`: steps beside the blocks where a plan is asked too, the ends that leave the fault open."""
        self._blocks = blocks
        self._asked_at = frozenset(blocks) | ends
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

    def __call__(self, state: State, facts: Sequence[Fact], target: str) -> Led | None:
        """The next of the script, where the plan would be asked at all."""
        if target not in self._asked_at:
            return None
        self._place += 1
        self._asked = max(self._asked, self._place)
        step = self._script[self._place - 1] if self._place <= len(self._script) else None
        return None if step is None else Led(step=step, why=f"Next {step}.")

    def others(self) -> Iterator[Script]:
        """Scripts with one choice more, at each boundary that was met beyond this one; no block twice in a turn."""
        for met in range(len(self._script), self._asked):
            own = (None,) * (met - len(self._script))
            yield from ((*self._script, *own, block) for block in self._blocks if block not in self._script)

"""What may happen in each mode, and where it leads: the transition table read the other way round, as a kept list.

The table says of each fact in which modes it may happen; a mode that falls out of a row, or slips into one, is seen at
once where a mode's own list changes. After a change on purpose `python -m tests.guide.test_moves` prints the list anew:
put it into `tests/guide/moves.txt`, and read what changed.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest

from assistant.facts import FactKind
from assistant.guide.state import Mode
from assistant.guide.table import CONDITIONS_OF, next_mode

KEPT = Path(__file__).with_name("moves.txt")


def moves_in(mode: Mode) -> Iterator[str]:
    """A line for each fact: the least that must hold for it, and the mode after it."""
    for kind in FactKind:
        named = sorted(CONDITIONS_OF[kind])
        under = [each for each in named if each.startswith("under_")]
        plain = [each for each in named if each not in under]
        holdings = [frozenset(some) for count in range(len(plain) + 1) for some in combinations(plain, count)]
        holdings += [frozenset({each}) for each in under]
        known: list[tuple[frozenset[str], Mode]] = []
        for holding in holdings:
            after = next_mode(mode, kind, holding)
            if after is not None and not any(less <= holding and after is there for less, there in known):
                known.append((holding, after))
                yield f"{mode}: {kind}{' if ' if holding else ''}{' and '.join(sorted(holding))} -> {after}"


def kept(mode: Mode) -> list[str]:
    """The lines of the kept list that speak of a mode."""
    return [line for line in KEPT.read_text(encoding="utf-8").splitlines() if line.startswith(f"{mode}:")]


@pytest.mark.parametrize("mode", Mode)
def test_nothing_else_may_happen_in_a_mode(mode: Mode) -> None:
    """Neither more nor less, under no other conditions, and it leads nowhere else."""
    assert list(moves_in(mode)) == kept(mode)


if __name__ == "__main__":
    for each in Mode:
        for line in moves_in(each):
            print(line)

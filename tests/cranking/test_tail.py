"""The latest part of a stream."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from assistant.cranking.tail import Tail


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), max_size=40))
def test_it_keeps_what_was_not_forgotten(moves: list[tuple[int, int]]) -> None:
    """Whatever is added and forgotten in turn, the rest is there in order, and what was given out stays as it was."""
    tail, kept, next_row = Tail(np.zeros((0, 2), np.int16), 5), np.zeros((0, 2), np.int16), 0
    given_out = []
    for added, forgotten in moves:
        rows = np.arange(next_row, next_row + 2 * added, dtype=np.int16).reshape(-1, 2)
        next_row += 2 * added
        tail.add(rows)
        kept = np.concatenate([kept, rows])
        count = min(forgotten, len(kept))
        tail.forget(count)
        kept = kept[count:]
        assert np.array_equal(tail.rows, kept)
        given_out.append((tail.rows, kept))
    assert all(np.array_equal(view, then) for view, then in given_out)

"""The latest part of a stream, in one piece."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray


class Tail:
    """Rows of a stream, of which the oldest are forgotten. Adding a few does not copy the many that are kept."""

    def __init__(self, none: NDArray[Any], capacity: int) -> None:
        """`none`: an array without rows, of the shape and type of those to come."""
        self._room = np.empty((capacity, *none.shape[1:]), dtype=none.dtype)
        self._begin = self._end = 0

    @property
    def rows(self) -> NDArray[Any]:
        """What is kept, oldest first. It stays as it is, whatever is added or forgotten later."""
        return self._room[self._begin : self._end]

    def add(self, rows: NDArray[Any]) -> None:
        """At the end of what is kept."""
        if self._end + len(rows) > len(self._room):
            kept = self.rows
            size = max(len(self._room), 2 * (len(kept) + len(rows)))
            # A new room: what was given out still lies in the old one.
            self._room = np.empty((size, *self._room.shape[1:]), dtype=self._room.dtype)
            self._room[: len(kept)] = kept
            self._begin, self._end = 0, len(kept)
        self._room[self._end : self._end + len(rows)] = rows
        self._end += len(rows)

    def forget(self, count: int) -> None:
        """The oldest so many."""
        self._begin += count

"""Lines of a stream that are waited for only so long: a thread of its own reads them."""

from __future__ import annotations

import threading
from collections.abc import Iterable
from queue import Empty, Queue

MOST_WAITING = 1_000
"""Lines read ahead; a stream that gives more is read on when they were taken."""


class WaitingLines:
    """Gives each line once it is there."""

    def __init__(self, lines: Iterable[str]) -> None:
        self._read: Queue[str | None] = Queue(MOST_WAITING)
        self._at_end = False
        # A thread that waits for a line cannot be woken, so the program ends without it.
        threading.Thread(target=self._read_on, args=(lines,), name="lines", daemon=True).start()

    def _read_on(self, lines: Iterable[str]) -> None:
        try:
            for line in lines:
                self._read.put(line)
        except (OSError, ValueError):  # closed under our hands
            pass
        self._read.put(None)

    def next(self, timeout_s: float) -> str | None:
        """The next line, or None when none came in time. Raises EOFError at the end."""
        if self._at_end:
            raise EOFError
        try:
            line = self._read.get(timeout=timeout_s)
        except Empty:
            return None
        if line is None:
            self._at_end = True
            raise EOFError
        return line

    def close(self) -> None:
        """No more lines are wanted; may be called twice."""
        self._at_end = True

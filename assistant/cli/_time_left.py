"""How much of a long command is still to come, shown on standard error."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TextIO

EACH_S = 10.0
"""Where no terminal shows it, a line of it is printed so often at most."""

_LINE_AWAY = "\r\x1b[K"
"""Back to the beginning of the row, and what stood there away. Source: ECMA-48, 8.3.41 (EL)."""


class TimeLeft:
    """Tells how much of so many things is done and about how long the rest takes, by what those after the first took.

    On a terminal it is one row that is written over and taken away at the end; elsewhere a plain line now and then.
    """

    def __init__(self, things: int, stream: TextIO, now_s: Callable[[], float] = time.monotonic) -> None:
        self._things = things
        self._stream = stream
        self._now_s = now_s
        self._done = 0
        self._first_s = self._told_s = now_s()

    def step(self) -> None:
        """One more is done."""
        self._done += 1
        now_s = self._now_s()
        words = f"{min(self._done, self._things)} of {self._things}"
        if self._done == 1:  # what came before it, such as loading, comes only once
            self._first_s = now_s
        else:
            left_s = (now_s - self._first_s) / (self._done - 1) * max(0, self._things - self._done)
            minutes, seconds = divmod(round(left_s), 60)
            words += f", about {minutes}:{seconds:02d} left"
        if self._stream.isatty():
            self._stream.write(f"{_LINE_AWAY}{words}")
        elif now_s - self._told_s >= EACH_S:
            self._told_s = now_s
            self._stream.write(f"{words}\n")
        self._stream.flush()

    def clear(self) -> None:
        """Take the row away, so that something else can be printed."""
        if self._stream.isatty():
            self._stream.write(_LINE_AWAY)
            self._stream.flush()

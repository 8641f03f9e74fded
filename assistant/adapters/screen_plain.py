"""A screen of plain lines: what is said, as it is said. For typed sessions, logs and pipes."""

from __future__ import annotations

from typing import TextIO

from assistant.ports import View


class PlainScreen:
    """Prints each new thing said, and the caution's signal word before it."""

    def __init__(self, stream: TextIO, *, show_heard: bool = False) -> None:
        self._stream = stream
        self._show_heard = show_heard
        self._turn = 0
        self._printed = 0  # lines of what was said in that turn

    def show(self, view: View) -> None:
        """Print what was said since the last view, nothing else."""
        if view.turn != self._turn:
            self._turn, self._printed = view.turn, 0
            if self._show_heard and view.heard:
                self._stream.write(f"< {view.heard}\n")
        new = view.said[self._printed :]
        self._printed = len(view.said)
        for text in new:
            self._stream.write(f"{text}\n")
        if new:
            self._stream.flush()

    def close(self) -> None:
        """The stream is not ours to close."""


class NoScreen:
    """Shows nothing."""

    def show(self, view: View) -> None:
        """Nothing is drawn."""

    def close(self) -> None:
        """There is nothing to give back."""

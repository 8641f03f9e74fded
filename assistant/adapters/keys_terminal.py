"""Keys pressed at the terminal, taken one by one without being shown."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import TextIO

from assistant.errors import SetupError
from assistant.language.model import Control

with suppress(ImportError):  # Windows has no terminal of this kind: there the words do
    import termios

_CHUNK = 256
"""Bytes taken at once: more than any key gives, and a long paste is dropped in few turns."""

_LOCAL, _CHARACTERS = 3, 6
"""Places of the local flags and of the special characters in what termios gives."""

_ESCAPE = b"\x1b"


class TerminalKeys:
    """The terminal gives each key at once and shows none, until closed. Ctrl-C still interrupts.

    Keys that would freeze or kill the program without giving the terminal back (Ctrl-Z, Ctrl-\\) do nothing meanwhile.
    """

    def __init__(self, stream: TextIO, keys: Mapping[str, Control]) -> None:
        """`stream`: a terminal. `keys`: what each key stands for, in lower case."""
        if "termios" not in globals():
            raise SetupError("This system's terminal gives no single keys; type or speak the words.")
        self._fd = stream.fileno()
        self._keys = keys
        self._before: list[int | list[bytes | int]] | None = termios.tcgetattr(self._fd)
        mode = termios.tcgetattr(self._fd)
        mode[_LOCAL] &= ~(termios.ICANON | termios.ECHO)
        characters = mode[_CHARACTERS]
        characters[termios.VMIN] = characters[termios.VTIME] = 0  # a read gives what is there and never waits
        nothing = bytes([os.fpathconf(self._fd, "PC_VDISABLE")])
        characters[termios.VSUSP] = characters[termios.VQUIT] = nothing
        termios.tcsetattr(self._fd, termios.TCSAFLUSH, mode)

    def pressed(self) -> Sequence[Control | None]:
        """What was pressed since the last call, None for a key that stands for nothing. Several keys at once are a
        paste or a sleeve: only stop counts then."""
        if self._before is None:
            return ()
        try:
            taken = os.read(self._fd, _CHUNK)
        except OSError:  # the terminal has gone; the voice has not
            return ()
        if _ESCAPE in taken:  # an arrow or function key is a row of characters, none of them meant
            return (None,)
        meant = {self._keys.get(each) for each in taken.decode("utf-8", "replace").lower()}
        if len(meant) > 1:
            meant = meant & {Control.STOP} or {None}
        return tuple(meant)

    def close(self) -> None:
        """Give the terminal back as it was, without keys that nobody took; may be called twice."""
        before, self._before = self._before, None
        if before is not None:
            termios.tcsetattr(self._fd, termios.TCSAFLUSH, before)

"""Being ended from outside: the program tidies up and says so, as it does after Ctrl-C."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

_NAMES = ("SIGTERM", "SIGHUP")
"""Asked to end, and the terminal closed; systems without one of them lack its name."""


class Ended(BaseException):
    """A signal asks the program to end. Not an Exception: nothing may take it for a fault and go on."""

    def __init__(self, number: int) -> None:
        super().__init__(signal.Signals(number).name)
        self.exit_code = 128 + number


@contextmanager
def ended_by_signals() -> Iterator[None]:
    """Within, a signal to end raises Ended in the main thread, so that everything open is closed."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    numbers = [getattr(signal, name) for name in _NAMES if hasattr(signal, name)]

    def end(number: int, _frame: FrameType | None) -> None:
        for each in numbers:
            signal.signal(each, signal.SIG_IGN)  # a second one must not cut short what the first one began
        raise Ended(number)

    before = {number: signal.signal(number, end) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)

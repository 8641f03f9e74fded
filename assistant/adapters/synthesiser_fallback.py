"""The voice that is wished for, and another wherever that one fails: told once, never silent."""

from __future__ import annotations

import threading
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SetupError
from assistant.ports import Synthesiser


class FallbackSynthesiser:
    """Speaks with the first synthesiser until it fails once, then with the second one for good; from any thread."""

    def __init__(
        self, first: Synthesiser, second: Synthesiser, *, on_change: Callable[[SetupError], None] = lambda _why: None
    ) -> None:
        """`on_change`: told once, on the thread that renders, why the second one speaks."""
        self._first = first
        self._second = second
        self._on_change = on_change
        self._changed = False
        self._lock = threading.Lock()

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """The text by the one that can. Raises the second one's SetupError where neither can."""
        if not self._changed:
            try:
                return self._first.render(text, words_per_minute=words_per_minute, rate_hz=rate_hz)
            except SetupError as why:
                self._change(why)
        return self._second.render(text, words_per_minute=words_per_minute, rate_hz=rate_hz)

    def close(self) -> None:
        """Free both; may be called twice."""
        self._first.close()
        self._second.close()

    def _change(self, why: SetupError) -> None:
        with self._lock:
            told, self._changed = self._changed, True
        if not told:
            self._on_change(why)

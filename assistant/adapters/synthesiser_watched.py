"""A synthesiser on a thread of its own: one that crashes or hangs is a voice that cannot speak, never a silent wait."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SetupError
from assistant.ports import Synthesiser

GIVEN_UP_S = 12.0
"""A sentence takes 25 ms, the first one some two seconds more for loading; on a machine with twenty other things to do
ten times as long. Source: judgement, after `hoodside bench voice`."""

SLOW_S = 2.5
"""From here on it is told, so that nobody waits in silence for longer than three seconds."""

SLOW = SetupError("The voice is slow; read the screen.")

_Pcm = NDArray[np.int16]


class WatchedSynthesiser:
    """Implements `assistant.ports.Synthesiser` by another one, which lives on one thread."""

    def __init__(
        self,
        synthesiser: Synthesiser,
        *,
        on_slow: Callable[[SetupError], None] = lambda _why: None,
        slow_s: float = SLOW_S,
        given_up_s: float = GIVEN_UP_S,
    ) -> None:
        """`on_slow`: told on the thread that waits, once for each sentence that takes long."""
        self._synthesiser = synthesiser
        self._on_slow = on_slow
        self._slow_s = slow_s
        self._given_up_s = given_up_s
        self._lock = threading.Lock()
        self._asked: queue.SimpleQueue[tuple[str, int, int, queue.SimpleQueue[_Pcm | Exception]] | None] | None = None
        self._hangs = False

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> _Pcm:
        """See ports. Raises SetupError also where the other one crashes, hangs, or has hung before."""
        with self._lock:
            if self._hangs:
                raise SetupError("The voice hangs")
            if self._asked is None:
                self._asked = queue.SimpleQueue()
                threading.Thread(target=self._work, args=(self._asked,), name="synthesiser", daemon=True).start()
            answer: queue.SimpleQueue[_Pcm | Exception] = queue.SimpleQueue()
            self._asked.put((text, words_per_minute, rate_hz, answer))
            made = self._wait(answer)
        if isinstance(made, SetupError):
            raise made
        if isinstance(made, Exception):
            raise SetupError(f"The voice failed ({type(made).__name__})") from made
        return made

    def close(self) -> None:
        """See ports; one that hangs is left behind."""
        asked, self._asked = self._asked, None
        if asked is not None:
            asked.put(None)
        elif not self._hangs:
            self._synthesiser.close()

    def _wait(self, answer: queue.SimpleQueue[_Pcm | Exception]) -> _Pcm | Exception:
        try:
            return answer.get(timeout=self._slow_s)
        except queue.Empty:
            self._on_slow(SLOW)
        try:
            return answer.get(timeout=self._given_up_s - self._slow_s)
        except queue.Empty:
            self._hangs = True
            return SetupError("The voice hangs")

    def _work(self, asked: queue.SimpleQueue[tuple[str, int, int, queue.SimpleQueue[_Pcm | Exception]] | None]) -> None:
        while (wanted := asked.get()) is not None:
            text, words_per_minute, rate_hz, answer = wanted
            try:
                answer.put(self._synthesiser.render(text, words_per_minute=words_per_minute, rate_hz=rate_hz))
            except Exception as error:  # a voice's library may raise anything; who waits tells it
                answer.put(error)
        self._synthesiser.close()

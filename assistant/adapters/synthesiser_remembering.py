"""A synthesiser that remembers what it made of late: prompts come again, and what was made early sounds at once."""

from __future__ import annotations

import threading
from collections import OrderedDict

import numpy as np
from numpy.typing import NDArray

from assistant.ports import Synthesiser

MOST_BYTES = 12 * 2**20
"""Of samples: two minutes of speech at 48 kHz, some sixty sentences. Judgement: a step's prompts and its likely answers
have twenty."""

_Key = tuple[str, int, int]


class RememberingSynthesiser:
    """Implements `assistant.ports.Synthesiser` by another one; may be used from any thread."""

    def __init__(self, synthesiser: Synthesiser, *, most_bytes: int = MOST_BYTES) -> None:
        """`most_bytes`: of samples that are kept; what was used longest ago goes first. `kept_bytes` are.

        `made_by`: the other one."""
        self.made_by = synthesiser
        self._most_bytes = most_bytes
        self._kept: OrderedDict[_Key, NDArray[np.int16]] = OrderedDict()
        self.kept_bytes = 0
        self._lock = threading.Lock()  # of what is kept; nobody waits for a rendering here

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """See ports; not to be written to."""
        key = (text, words_per_minute, rate_hz)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        pcm = self.made_by.render(text, words_per_minute=words_per_minute, rate_hz=rate_hz)
        self._keep(key, pcm)
        return pcm

    def close(self) -> None:
        """See ports; and forget."""
        with self._lock:
            self._kept.clear()
            self.kept_bytes = 0
        self.made_by.close()

    def _keep(self, key: _Key, pcm: NDArray[np.int16]) -> None:
        with self._lock:
            if key in self._kept or pcm.nbytes > self._most_bytes:
                return
            self._kept[key] = pcm
            self.kept_bytes += pcm.nbytes
            while self.kept_bytes > self._most_bytes:
                self.kept_bytes -= self._kept.popitem(last=False)[1].nbytes

"""Two microphones as one: a phone's while it is here, else the machine's own, in one row of time."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from typing import Protocol

from assistant.errors import DeviceLost
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Microphone

NOBODY = "I wait for the phone."
_JITTER_S = 0.03


class Visiting(Protocol):
    """A microphone that comes and goes."""

    @property
    def here(self) -> bool:
        """Whether it listens now."""

    def read(self, timeout_s: float) -> AudioBlock | None:
        """As `ports.Microphone`; never raises."""

    def drop(self) -> None:
        """Forget what waits."""

    def close(self) -> None:
        """Free it; may be called twice."""


class EitherMicrophone:
    """Listens to the visiting microphone while it is here, to the own one otherwise; never to both.

    What one of them heard while the other was listened to is let go, so nothing is heard twice; the gap between the two
    counts as lost, so that a word that fell into it is asked about.
    """

    def __init__(self, visiting: Visiting, own: Microphone | None, now_s: Callable[[], float] = time.monotonic) -> None:
        """`own`: None where the machine has none."""
        self._visiting = visiting
        self._own = own
        self._now_s = now_s
        self._began_s = now_s()
        self._visits: bool | None = None  # which of them was read last
        self._switched = False
        self._shift_s = 0.0
        self._end_s = 0.0

    def read(self, timeout_s: float) -> AudioBlock | None:
        """See ports.Microphone. Raises DeviceLost where neither is there."""
        visits = self._visiting.here
        if visits != self._visits:
            self._switched = True
            self._visits = visits
            if not visits:
                self._visiting.drop()
        if visits:
            self._let_own_go()
            return self._in_row(self._visiting.read(timeout_s))
        if self._own is None:
            time.sleep(timeout_s)
            raise DeviceLost("No phone listens, and there is no other microphone.", spoken=NOBODY)
        return self._in_row(self._own.read(timeout_s))

    def close(self) -> None:
        """Free both; may be called twice."""
        self._visiting.close()
        if self._own is not None:
            self._own.close()

    def _let_own_go(self) -> None:
        with suppress(DeviceLost):
            while self._own is not None and self._own.read(0.0) is not None:
                pass

    def _in_row(self, block: AudioBlock | None) -> AudioBlock | None:
        """The block in our row of time, which goes on from one microphone to the other."""
        if block is None:
            return None
        long_s = block.pcm.size / SAMPLE_RATE_HZ
        lost = block.lost_frames
        if self._switched:
            self._switched = False
            now_s = self._now_s() - self._began_s
            self._shift_s = max(self._end_s, now_s - block.waited_s - long_s) - block.start_s
            lost = max(0, round((block.start_s + self._shift_s - self._end_s) * SAMPLE_RATE_HZ)) if self._end_s else 0
        start_s = block.start_s + self._shift_s
        if abs(start_s - self._end_s) < _JITTER_S or start_s < self._end_s:
            start_s = self._end_s
        self._end_s = start_s + long_s
        return replace(block, start_s=start_s, lost_frames=lost)

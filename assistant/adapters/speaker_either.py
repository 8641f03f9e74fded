"""Two speakers as one: a phone's while it is here, the machine's own, or both."""

from __future__ import annotations

import threading
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.errors import DeviceLost
from assistant.ports import Speaker

_NOTHING = np.zeros(0, np.int16)


class VisitingSpeaker(Protocol):
    """A speaker that comes and goes, at the rate of the own one."""

    @property
    def here(self) -> bool:
        """Whether it plays now."""

    @property
    def rate_hz(self) -> int:
        """The rate at which it takes samples."""

    @property
    def playing(self) -> bool:
        """Whether not everything has been played."""

    def play(self, pcm: NDArray[np.int16]) -> None:
        """Put samples after those still to go out."""

    def cut(self) -> None:
        """Drop everything still to go out."""

    def take_back(self) -> NDArray[np.int16]:
        """What was not played, and is not to be played there any more."""

    def close(self) -> None:
        """Free it; may be called twice."""


class EitherSpeaker:
    """Plays on the visiting speaker while it is here, on the own one otherwise; `both`: on the own one always.

    What a speaker that went away had not played goes out on the own one, from where it was last known to be.
    """

    def __init__(self, visiting: VisitingSpeaker, own: Speaker | None, *, both: bool = False) -> None:
        """`own`: None where the machine has none; then what is said waits for the visiting one."""
        self._visiting = visiting
        self._own = own
        self._both = both and own is not None
        self._lock = threading.Lock()
        self._rest = _NOTHING

    @property
    def rate_hz(self) -> int:
        """The rate of both."""
        return self._visiting.rate_hz

    def play(self, pcm: NDArray[np.int16]) -> None:
        """See ports.Speaker. Raises DeviceLost where neither is there."""
        with self._lock:
            self._fetch_back()
            here = self._visiting.here
            if self._own is not None and (self._both or not here):
                self._own.play(np.concatenate([self._rest, pcm]) if self._rest.size else pcm)
                self._rest = _NOTHING
            if here:
                self._visiting.play(pcm)
            elif self._own is None:
                raise DeviceLost("No phone is here to speak through.", spoken="The phone is gone.")

    def cut(self) -> None:
        """See ports.Speaker."""
        with self._lock:
            self._rest = _NOTHING
            self._visiting.cut()
            if self._own is not None:
                self._own.cut()

    @property
    def playing(self) -> bool:
        """See ports.Speaker."""
        if self._visiting.playing and not self._visiting.here and self._own is not None:
            with self._lock:
                self._fetch_back()
        return bool(self._rest.size) or self._visiting.playing or (self._own is not None and self._own.playing)

    def played(self, start_s: float, frames: int) -> NDArray[np.int16]:
        """What the own one sent out: it alone keeps our time."""
        return np.zeros(frames, np.int16) if self._own is None else self._own.played(start_s, frames)

    def close(self) -> None:
        """Free both; may be called twice."""
        self._visiting.close()
        if self._own is not None:
            self._own.close()

    def _fetch_back(self) -> None:
        """What the visiting one left unplayed, to the own one at once."""
        if self._own is None or self._visiting.here or not self._visiting.playing:
            return
        rest = self._visiting.take_back()
        if self._both or not rest.size:
            return
        try:
            self._own.play(np.concatenate([self._rest, rest]))
            self._rest = _NOTHING
        except DeviceLost:
            self._rest = np.concatenate([self._rest, rest])

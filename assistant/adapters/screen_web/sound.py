"""The phone as a microphone and a speaker, as the session knows them."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.adapters.screen_web.phone_line import Captured, PhoneLine
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock


class PhoneMicrophone:
    """Blocks of 16 kHz mono sound, at whatever rate the phone's browser listens."""

    def __init__(self, line: PhoneLine, now_s: Callable[[], float] = time.monotonic) -> None:
        self._line = line
        self._now_s = now_s
        self._began_s = now_s()
        self._stream = ""
        self._resample: soxr.ResampleStream | None = None

    @property
    def here(self) -> bool:
        """Whether a phone listens."""
        return self._line.here

    def read(self, timeout_s: float) -> AudioBlock | None:
        """The next block, or None when none came in time."""
        try:
            captured = self._line.blocks.get(timeout=timeout_s)
        except queue.Empty:
            return None
        pcm = self._at_our_rate(captured)
        end_s = captured.at_s + captured.pcm.size / captured.rate_hz
        return AudioBlock(
            pcm=pcm,
            start_s=captured.at_s - self._began_s,
            lost_frames=round(captured.lost * SAMPLE_RATE_HZ / captured.rate_hz),
            waited_s=max(0.0, self._now_s() - end_s),
        )

    def drop(self) -> None:
        """Forget what waits."""
        while True:
            try:
                self._line.blocks.get_nowait()
            except queue.Empty:
                return

    def close(self) -> None:
        """Nothing is held."""

    def _at_our_rate(self, captured: Captured) -> NDArray[np.int16]:
        if captured.rate_hz == SAMPLE_RATE_HZ:
            return captured.pcm
        if captured.stream != self._stream or self._resample is None:
            self._stream = captured.stream
            self._resample = soxr.ResampleStream(captured.rate_hz, SAMPLE_RATE_HZ, 1, dtype="int16", quality="HQ")
        return np.asarray(self._resample.resample_chunk(captured.pcm), dtype=np.int16)


class PhoneSpeaker:
    """The phone's own loudspeaker, as far as the phone is here."""

    def __init__(self, line: PhoneLine) -> None:
        self._line = line

    @property
    def here(self) -> bool:
        """Whether a phone plays."""
        return self._line.here

    @property
    def rate_hz(self) -> int:
        """The rate at which it takes samples."""
        return self._line.rate_hz

    def play(self, pcm: NDArray[np.int16]) -> None:
        """Put samples after those still to go out; they wait for a phone that is not here."""
        self._line.say(pcm)

    def cut(self) -> None:
        """Drop everything still to go out."""
        self._line.cut()

    @property
    def playing(self) -> bool:
        """Whether the phone has not told yet that it has played everything."""
        return self._line.speaking

    def take_back(self) -> NDArray[np.int16]:
        """What the phone has not played, to be played elsewhere."""
        return self._line.take_back()

    def played(self, start_s: float, frames: int) -> NDArray[np.int16]:
        """Not known: two clocks that drift apart tell no canceller anything."""
        return np.zeros(frames, np.int16)

    def close(self) -> None:
        """Nothing is held."""

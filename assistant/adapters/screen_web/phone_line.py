"""The sound of the phone: blocks of its microphone in, our speech out, whatever way they travel.

Each block has a number, so that what comes twice is dropped and what never came is counted. Speech has places in
frames, and the phone tells how far it has played, so that what it did not play can be played elsewhere.
"""

from __future__ import annotations

import queue
import struct
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

QUEUE_BLOCKS = 938
"""About thirty seconds, as of a microphone of this machine."""

GONE_S = 1.5
"""A phone that sends no sound for so long is gone: six times the gap that a busy radio makes. Judgement."""

AHEAD_S = 3.0
"""Speech on its way to the phone, at most: who reads slowly makes nothing pile up here."""

MOST_FRAMES = 24_000
"""Of one piece of speech on its way."""

SLOWEST_HZ, FASTEST_HZ = 8_000, 96_000
MOST_BLOCK_FRAMES = 9_600
_DRIFT_S = 5.0
"""How long the least delay is looked at, before the phone's clock is set by it."""

_HEAD = struct.Struct("<I")
_SPEECH_HEAD = struct.Struct("<II")


@dataclass(frozen=True, slots=True, kw_only=True)
class Captured:
    """A block as it came. `pcm`: int16, mono, at `rate_hz`. `at_s`: time.monotonic of its first frame. `lost`: frames
    that were lost before it, at `rate_hz`. `stream`: another one means another microphone, or another rate."""

    pcm: NDArray[np.int16]
    rate_hz: int
    at_s: float
    lost: int
    stream: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Speech:
    """A piece of our speech for the phone. `cuts`: how often we were cut before; `at`: its first frame since then."""

    cuts: int
    at: int
    pcm: NDArray[np.int16]

    def packed(self) -> bytes:
        """As it travels: two numbers of 32 bits, little-endian, then the samples."""
        return _SPEECH_HEAD.pack(self.cuts, self.at) + self.pcm.astype("<i2").tobytes()


class PhoneLine:
    """Between the server's thread, where blocks come and speech goes, and the session's, which never waits for it."""

    def __init__(
        self, *, rate_hz: int, now_s: Callable[[], float] = time.monotonic, queue_blocks: int = QUEUE_BLOCKS
    ) -> None:
        """`rate_hz`: of our speech."""
        self.rate_hz = rate_hz
        self.blocks: queue.Queue[Captured] = queue.Queue(maxsize=queue_blocks)
        self._now_s = now_s
        self._lock = threading.RLock()
        self._stream, self._stream_hz = "", 0
        self._next = 0
        self._lost = 0
        self._row_s: float | None = None  # when the next block begins, by the row of those before
        self._least_s, self._least_since_s = float("inf"), 0.0
        self._on = self._admitted = False
        self._latest_s = 0.0
        self._pieces: deque[NDArray[np.int16]] = deque()
        self._first = 0  # place of the first frame of the first piece
        self._asked = self._sent = self._played = 0
        self._cuts = 0
        self._wake: Callable[[], None] = lambda: None
        self.lost_frames = 0

    def on_speech(self, wake: Callable[[], None]) -> None:
        """`wake`: called from any thread when there is something to send."""
        self._wake = wake

    # the server's side

    def begin(self, stream: str, rate_hz: int, *, cuts: int, played: int, has: int) -> tuple[int, bool]:
        """A microphone is on, or on again: the number of the block that is wanted next, and whether older ones that the
        phone kept are of no use, for somebody else has listened meanwhile.

        `played`, `has`: up to which frame of our speech it has played, and has it, after so many `cuts`. Raises
        ValueError where this cannot be.
        """
        if not SLOWEST_HZ <= rate_hz <= FASTEST_HZ or not 0 < len(stream) <= 64 or not 0 <= played <= has:
            raise ValueError("no such microphone")
        with self._lock:
            if not self._admitted:
                raise ValueError("not let in")
            if stream != self._stream:
                self._stream, self._stream_hz = stream, rate_hz
                self._next, self._row_s = 0, None
            skips = not self.here
            self.played(cuts, played)
            self._sent = has if cuts == self._cuts and self._played <= has <= self._asked else self._played
            self._latest_s = self._now_s()
            self._on = True
        self._wake()
        return self._next, skips

    def take(self, block: bytes) -> bool:
        """A block: its number, 32 bits, little-endian, then int16 samples, mono. False for what is none.

        One that came already is dropped, and what comes from a phone that is gone: others listen meanwhile, until it
        says hello again.
        """
        frames, odd = divmod(len(block) - _HEAD.size, 2)
        if odd or not 0 < frames <= MOST_BLOCK_FRAMES:
            return False
        (number,) = _HEAD.unpack_from(block)
        with self._lock:
            if not self._stream:
                return False
            if not self.here:
                return True
            now_s = self._latest_s = self._now_s()
            if number < self._next:
                return True
            missed = (number - self._next) * frames
            self._lost += missed
            self.lost_frames += missed
            self._next = number + 1
            self._put(np.frombuffer(block, dtype="<i2", offset=_HEAD.size).astype(np.int16), missed, now_s)
            return True

    @property
    def next(self) -> int:
        """The number of the block that is wanted next: all before it have come, or are given up."""
        return self._next

    def off(self) -> None:
        """The phone says that its microphone is gone, or is let go."""
        with self._lock:
            self._on = False

    def admit(self) -> None:
        """A phone was let in, and may begin."""
        with self._lock:
            self._admitted = True

    def shut(self) -> None:
        """The phone is let go: nothing that comes from it counts any more."""
        with self._lock:
            self._admitted = self._on = False
            self._stream = ""

    def speech(self) -> Sequence[Speech]:
        """What may be sent now; the same piece is given once, unless the line broke."""
        with self._lock:
            found: list[Speech] = []
            while (self._sent - self._played) / self.rate_hz < AHEAD_S:
                pcm = self._from(self._sent, MOST_FRAMES)
                if not pcm.size:
                    break
                found.append(Speech(cuts=self._cuts, at=self._sent, pcm=pcm))
                self._sent += pcm.size
            return found

    @property
    def cuts(self) -> int:
        """How often we were cut: what belongs to an earlier count is not to be played."""
        return self._cuts

    def played(self, cuts: int, to: int) -> None:
        """The phone has played up to this frame."""
        with self._lock:
            if cuts == self._cuts and self._played < to <= self._sent:
                self._played = to
                while self._pieces and self._first + self._pieces[0].size <= to:
                    self._first += self._pieces.popleft().size
        self._wake()

    # the session's side

    @property
    def here(self) -> bool:
        """Whether the phone listens and speaks; it is gone once no sound came for a while."""
        with self._lock:
            if self._now_s() - self._latest_s > GONE_S:
                self._on = False
            return self._on

    def say(self, pcm: NDArray[np.int16]) -> None:
        """Speech for the phone, after what is still to be played there."""
        with self._lock:
            if pcm.size:
                self._pieces.append(pcm)
                self._asked += pcm.size
        self._wake()

    def cut(self) -> None:
        """Drop all speech, also what the phone holds."""
        with self._lock:
            self._cuts += 1
            self._pieces.clear()
            self._first = self._asked = self._sent = self._played = 0
        self._wake()

    @property
    def speaking(self) -> bool:
        """Whether the phone has not yet played everything."""
        return self._played < self._asked

    def take_back(self) -> NDArray[np.int16]:
        """What the phone has not played; it is not to play it any more."""
        with self._lock:
            rest = self._from(self._played, self._asked)
            self.cut()
            return rest

    def _from(self, place: int, most: int) -> NDArray[np.int16]:
        parts, at = [np.zeros(0, np.int16)], self._first
        for piece in self._pieces:
            if at + piece.size > place and most > 0:
                part = piece[max(0, place - at) :][:most]
                parts.append(part)
                most -= part.size
            at += piece.size
        return np.concatenate(parts)

    def _put(self, pcm: NDArray[np.int16], missed: int, now_s: float) -> None:
        long_s = pcm.size / self._stream_hz
        if self._row_s is None or missed:
            self._row_s, self._least_s, self._least_since_s = now_s - long_s, float("inf"), now_s
        at_s = self._row_s
        late_s = now_s - (at_s + long_s)
        if late_s < 0.0:  # no block is whole before it sounded: the phone's clock is ahead of ours
            at_s, late_s = at_s + late_s, 0.0
        self._least_s = min(self._least_s, late_s)
        self._row_s = at_s + long_s
        if now_s - self._least_since_s > _DRIFT_S:
            self._row_s += self._least_s  # what even the quickest took is the clocks', not the way's
            self._least_s, self._least_since_s = float("inf"), now_s
        captured = Captured(pcm=pcm, rate_hz=self._stream_hz, at_s=at_s, lost=self._lost, stream=self._stream)
        try:
            self.blocks.put_nowait(captured)
            self._lost = 0
        except queue.Full:
            self._lost += pcm.size
            self.lost_frames += pcm.size

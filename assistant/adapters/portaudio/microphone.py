"""The microphone through PortAudio: its callback only copies, notes what was lost, and puts the block into a queue."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.adapters.portaudio.library import load_sounddevice, quietly
from assistant.errors import DeviceLost, SetupError
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

BLOCK_S = 0.032
"""512 frames at 16 000 Hz, what the speech detector takes at once."""

_QUEUE_BLOCKS = 938
"""About thirty seconds (a megabyte, three at 48 kHz): a machine with twenty other things to do falls that far behind
and catches up again, and a word lost is worse than one answered late. The session minds how far behind it is."""

_SILENT_DEVICE_S = 2.6
"""A running stream that gives no block for this long has lost its device, whatever the driver says. Waking a sleeping
device can take two seconds, and after three the technician shall know."""

_JITTER_S = 0.03
"""Blocks whose times differ by less from an unbroken row are one row: the thread woke late, the sound did not."""


_OLDEST_S = 0.25
"""Drivers that call a fresh block older than this have not settled yet; it is then taken for just finished."""

_LEAD_S = 0.05
"""What was played is given this much ahead, so that it never comes after its own echo, however rough the times are."""


@dataclass(frozen=True, slots=True)
class _Captured:
    pcm: NDArray[np.int16]  # mono, at the device's rate
    at_s: float  # time.monotonic of the first frame
    lost: int  # frames lost before, at the device's rate


class SounddeviceMicrophone:
    """Blocks of 16 kHz mono sound. After DeviceLost go on calling `read`: it opens the device again once it is back."""

    def __init__(
        self,
        *,
        device: int | str | None = None,
        played: Callable[[float, int], NDArray[np.int16]] | None = None,
        queue_blocks: int = _QUEUE_BLOCKS,
        now_s: Callable[[], float] = time.monotonic,
    ) -> None:
        """`played`: the speaker's account of what it sent out, put beside each block.

        Raises SetupError when PortAudio or any microphone is missing.
        """
        self._sounddevice = load_sounddevice(", or use --hear typed")
        self._device = device
        self._now_s = now_s
        self._played = played
        self._blocks: queue.Queue[_Captured] = queue.Queue(maxsize=queue_blocks)
        self._lost = 0
        self._stream: Any = None
        self._resample: Any = None
        self._rate_hz = SAMPLE_RATE_HZ
        self._began_s = self._now_s()
        self._next_s = self._began_s
        self._heard_from_s = self._began_s
        self._quiet = ExitStack()  # from now on: a stream that loses its device prints from a thread of the library
        self._quiet.enter_context(quietly())
        try:
            self._open()
        except SetupError:
            self._quiet.close()
            raise

    def read(self, timeout_s: float) -> AudioBlock | None:
        """The next block, or None when none came in time. Raises DeviceLost when the device went or is still away."""
        if self._stream is None:
            self._reopen(timeout_s)
        try:
            captured = self._blocks.get(timeout=timeout_s)
        except queue.Empty:
            if not self._stream.active or self._now_s() - self._heard_from_s > _SILENT_DEVICE_S:
                self._drop_stream()
                raise _lost() from None
            return None
        self._heard_from_s = self._now_s()
        return self._block(captured)

    def close(self) -> None:
        """Stop and free the device; may be called twice."""
        self._drop_stream()
        self._quiet.close()

    def _open(self) -> None:
        try:
            self._start_stream()
        except (self._sounddevice.PortAudioError, ValueError) as error:
            self._drop_stream()
            raise SetupError(
                f"No microphone could be opened ({error}). Connect one, see 'hoodside devices', or use --hear typed."
            ) from error
        self._heard_from_s = self._now_s()

    def _start_stream(self) -> None:
        device = self._sounddevice.query_devices(self._device, "input")
        channels = min(2, device["max_input_channels"])  # bare sound cards often refuse a single channel
        self._rate_hz = self._best_rate(channels, round(device["default_samplerate"]))
        self._stream = self._sounddevice.InputStream(
            device=self._device,
            samplerate=self._rate_hz,
            channels=channels,
            dtype="int16",
            blocksize=round(BLOCK_S * self._rate_hz),
            latency="low",
            callback=self._take,
        )
        self._resample = (
            None
            if self._rate_hz == SAMPLE_RATE_HZ
            else soxr.ResampleStream(self._rate_hz, SAMPLE_RATE_HZ, 1, dtype="int16", quality="HQ")
        )
        self._stream.start()

    def _best_rate(self, channels: int, default_hz: int) -> int:
        """The house's rate where the device offers it, else the device's own."""
        try:
            self._sounddevice.check_input_settings(
                device=self._device, channels=channels, dtype="int16", samplerate=SAMPLE_RATE_HZ
            )
        except (self._sounddevice.PortAudioError, ValueError):
            return default_hz
        return SAMPLE_RATE_HZ

    def _reopen(self, timeout_s: float) -> None:
        try:
            self._open()
        except SetupError as error:
            time.sleep(
                timeout_s
            )  # the caller waits as long as for a block, instead of asking the driver in a tight loop
            raise _lost() from error

    def _drop_stream(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.abort(ignore_errors=True)
            stream.close(ignore_errors=True)

    def _take(self, pcm: NDArray[np.int16], frames: int, times: Any, status: Any) -> None:
        """Called by PortAudio's thread."""
        age_s = times.currentTime - times.inputBufferAdcTime
        at_s = self._now_s() - (age_s if 0.0 < age_s < _OLDEST_S else frames / self._rate_hz)
        if status.input_overflow:
            self._lost += frames  # the driver does not say how many; at least one buffer
        try:
            self._blocks.put_nowait(_Captured(pcm.mean(axis=1).astype(np.int16), at_s, self._lost))
            self._lost = 0
        except queue.Full:
            self._lost += frames

    def _block(self, captured: _Captured) -> AudioBlock:
        if captured.lost or abs(captured.at_s - self._next_s) > _JITTER_S:
            self._next_s = captured.at_s
        pcm = captured.pcm if self._resample is None else self._resample.resample_chunk(captured.pcm)
        start_s = self._next_s
        self._next_s += captured.pcm.size / self._rate_hz
        return AudioBlock(
            pcm=pcm,
            start_s=start_s - self._began_s,
            lost_frames=round(captured.lost * SAMPLE_RATE_HZ / self._rate_hz),
            waited_s=max(0.0, self._now_s() - self._next_s),
            played=self._played(start_s + _LEAD_S, pcm.size) if self._played else None,
        )


def _lost() -> DeviceLost:
    return DeviceLost("The microphone went away; connect it again.", spoken="The microphone was lost.")

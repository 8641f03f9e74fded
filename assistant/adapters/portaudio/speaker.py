"""The loudspeaker through PortAudio: one stream that runs all the time, so that speech begins and stops at once."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable
from contextlib import ExitStack
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.adapters.portaudio.library import load_sounddevice, quietly
from assistant.errors import DeviceLost, SetupError
from assistant.ports import SAMPLE_RATE_HZ

_LATENCY_S = 0.1
"""Asked of the device: a cut is heard this late at most, and a busy machine still fills the buffer in time."""

_LONGEST_LATENCY_S = 0.5
"""Drivers that report more for a running stream report nonsense."""

_REMEMBERED_S = 40.0
"""How far back `played` knows: further than the microphone's queue reaches, or our own voice is taken for another's
where the machine is behind."""

_LONGEST_BUFFER_S = 2.0
"""No device asks for more at once."""

_JITTER_S = 0.03
"""Buffers whose times differ by less from an unbroken row are one row: the thread woke late, the sound did not."""


_CLEAN_BUFFERS = 4
"""After a buffer came late, sound waits for so many in time: what is handed over meanwhile is often thrown away."""

_STUMBLING_S = 0.5
"""A stream whose buffers come late for this long does not recover by itself (seen with ALSA's PulseAudio plugin on a
busy machine: it asks for many times as many buffers as it plays) and is opened anew."""


_SILENT_DEVICE_S = 2.3
"""A running stream that asks for nothing for this long has lost its device, whatever the driver says: its last buffers
sound, and then there is silence. Waking a sleeping device can take two seconds."""


_NOTHING = np.zeros(0, dtype=np.int16)


class SounddeviceSpeaker:
    """Plays what it is given without gaps between pieces; silence otherwise."""

    def __init__(self, *, device: int | str | None = None, now_s: Callable[[], float] = time.monotonic) -> None:
        """Raises SetupError when PortAudio or any speaker is missing."""
        self._sounddevice = load_sounddevice(", or use --say silent")
        self._device = device
        self._now_s = now_s
        self._lock = threading.Lock()
        self._pieces: deque[NDArray[np.int16]] = deque()
        self._sent = 0  # frames of the first piece that have gone out
        self._sounds_until_s = 0.0
        self._history = _History()
        self._rate_hz = 0
        self._stream: Any = None
        self._clean = 0  # buffers in time, in a row
        self._clean_s = 0.0  # when the last of them was
        self._asked_s = 0.0  # when the device last asked for a buffer
        self._stumbled = False
        self.underflows = 0  # buffers that came late, because the machine was too busy
        self._quiet = ExitStack()  # from now on: a stream that loses its device prints from a thread of the library
        self._quiet.enter_context(quietly())
        try:
            self._open()
        except SetupError:
            self._quiet.close()
            raise

    @property
    def rate_hz(self) -> int:
        """The device's own rate, so that speech is resampled once only."""
        return self._rate_hz

    def play(self, pcm: NDArray[np.int16]) -> None:
        """Put samples after those still to go out. Raises DeviceLost and keeps nothing of `pcm`.

        The next call opens the device anew and goes on where the sound broke off. No samples at all may be given, to
        find out whether the device is still there.
        """
        if self._stream is not None and not self._runs():
            self._drop_stream()
            if not self._stumbled:
                raise _lost()
        if self._stream is None:
            try:
                self._open()
            except SetupError as error:
                raise _lost() from error
        with self._lock:
            self._pieces.append(pcm)

    def cut(self) -> None:
        """Drop everything still to go out; what the device already holds (100 ms asked for) is still heard."""
        with self._lock:
            self._pieces.clear()
            self._sent = 0

    @property
    def playing(self) -> bool:
        """Whether sound is still to go out, the device's own buffer counted, and what waits for a lost device."""
        return bool(self._pieces) or self._now_s() < self._sounds_until_s

    def played(self, start_s: float, frames: int) -> NDArray[np.int16]:
        """What went out from `start_s` on (seconds of `time.monotonic`): int16, mono, (frames,), 16 000 Hz."""
        with self._lock:
            return self._history.between(start_s, frames, self._rate_hz)

    def close(self) -> None:
        """Stop and free the device; may be called twice."""
        self.cut()
        self._drop_stream()
        self._quiet.close()

    def _runs(self) -> bool:
        return self._stream.active and self._now_s() - self._asked_s <= _SILENT_DEVICE_S

    def _open(self) -> None:
        try:
            self._start_stream()
        except (self._sounddevice.PortAudioError, ValueError) as error:
            self._drop_stream()
            raise SetupError(
                f"No speaker could be opened ({error}). Connect one, see 'hoodside devices', or use --say silent."
            ) from error

    def _start_stream(self) -> None:
        device = self._sounddevice.query_devices(self._device, "output")
        self._clean, self._clean_s, self._stumbled = 0, self._now_s(), False
        own_hz = round(device["default_samplerate"])
        # A device that comes back keeps the rate, because what waits for it was made at that rate; another one may
        # not have it.
        try:
            self._stream = self._make_stream(self._rate_hz or own_hz, device)
        except (self._sounddevice.PortAudioError, ValueError):
            if self._rate_hz in (0, own_hz):
                raise
            self._stream = self._make_stream(own_hz, device)
            self._change_rate(own_hz)
        self._rate_hz = self._rate_hz or own_hz
        self._asked_s = self._now_s()
        self._stream.start()

    def _make_stream(self, rate_hz: int, device: Any) -> Any:
        return self._sounddevice.OutputStream(
            device=self._device,
            samplerate=rate_hz,
            channels=min(2, device["max_output_channels"]),  # bare sound cards often refuse a single channel
            dtype="int16",
            latency=_LATENCY_S,
            callback=self._fill,
        )

    def _change_rate(self, rate_hz: int) -> None:
        """What waits goes on at another rate; the account of what went out before is lost."""
        with self._lock:
            waiting = np.concatenate([*self._pieces, _NOTHING])[self._sent :]
            self._pieces.clear()
            if waiting.size:
                self._pieces.append(np.asarray(soxr.resample(waiting, self._rate_hz, rate_hz, quality="HQ")))
            self._sent = 0
            self._history = _History()
            self._rate_hz = rate_hz

    def _drop_stream(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            stream.abort(ignore_errors=True)
            stream.close(ignore_errors=True)

    def _fill(self, out: NDArray[np.int16], frames: int, times: Any, status: Any) -> None:
        """Called by PortAudio's thread: copy what is next, silence after it."""
        now_s = self._asked_s = self._now_s()
        ahead_s = times.outputBufferDacTime - times.currentTime
        if not 0.0 < ahead_s < _LONGEST_LATENCY_S:
            ahead_s = _LATENCY_S
        self._judge(now_s, late=bool(status.output_underflow))
        with self._lock:
            filled = self._copy(out, frames) if self._clean >= _CLEAN_BUFFERS else 0
            out[filled:] = 0
            if filled:
                self._sounds_until_s = now_s + ahead_s + filled / self._rate_hz
                self._history.add(now_s + ahead_s, out[:filled, 0].copy(), self._rate_hz)

    def _judge(self, now_s: float, *, late: bool) -> None:
        if not late:
            self._clean += 1
            self._clean_s = now_s
            return
        self.underflows += 1
        self._clean = 0
        if now_s - self._clean_s > _STUMBLING_S:
            self._stumbled = True
            raise self._sounddevice.CallbackAbort

    def _copy(self, out: NDArray[np.int16], frames: int) -> int:
        filled = 0
        while filled < frames and self._pieces:
            piece = self._pieces[0]
            part = piece[self._sent : self._sent + frames - filled]
            out[filled : filled + part.size] = part[:, np.newaxis]
            filled += part.size
            self._sent += part.size
            if self._sent >= piece.size:
                self._pieces.popleft()
                self._sent = 0
        return filled


class _History:
    """What went out in the last seconds, and when."""

    def __init__(self) -> None:
        self._buffers: deque[tuple[float, NDArray[np.int16]]] = deque()
        self._end_s = 0.0

    def add(self, start_s: float, pcm: NDArray[np.int16], rate_hz: int) -> None:
        """Keep one buffer that sounds from `start_s` on."""
        if abs(start_s - self._end_s) < _JITTER_S:
            start_s = self._end_s
        self._buffers.append((start_s, pcm))
        self._end_s = start_s + pcm.size / rate_hz
        while self._buffers[0][0] < start_s - _REMEMBERED_S:
            self._buffers.popleft()

    def between(self, start_s: float, frames: int, rate_hz: int) -> NDArray[np.int16]:
        """int16, mono, (frames,), 16 000 Hz. A little more on both sides goes into the resampling, then is dropped."""
        margin = SAMPLE_RATE_HZ // 100
        wanted = frames + 2 * margin
        first_s = start_s - margin / SAMPLE_RATE_HZ
        out = np.zeros(round(wanted * rate_hz / SAMPLE_RATE_HZ), dtype=np.int16)
        for buffer_s, pcm in reversed(self._buffers):
            at = round((buffer_s - first_s) * rate_hz)
            if at < -_LONGEST_BUFFER_S * rate_hz:
                break  # what went out before that, and all before it
            begin, end = max(0, at), min(out.size, at + pcm.size)
            if begin < end:
                out[begin:end] = pcm[begin - at : end - at]
        if rate_hz != SAMPLE_RATE_HZ and out.any():
            out = np.asarray(soxr.resample(out, rate_hz, SAMPLE_RATE_HZ, quality="MQ"))
        return np.pad(out, (0, max(0, wanted - out.size)))[margin : margin + frames]


def _lost() -> DeviceLost:
    return DeviceLost("The speaker went away; connect it again.", spoken="The speaker was lost.")

"""A speaker that is a WAV file: 16-bit, mono, each sound where its time in the session puts it."""

from __future__ import annotations

import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.errors import UsageError
from assistant.ports import SAMPLE_RATE_HZ


class WavSpeaker:
    """Writes what is played to a file: at the time of the clock where one is given, else piece after piece.

    The file is a whole WAV after every sound, so that a killed session leaves one that plays.
    """

    def __init__(self, path: Path, *, rate_hz: int = SAMPLE_RATE_HZ, now_s: Callable[[], float] | None = None) -> None:
        """`now_s`: seconds since the file begins, never falling. Raises UsageError when it cannot be written."""
        self._path = path
        self._rate_hz = rate_hz
        self._now_s = now_s
        self._written = 0  # frames in the file; they lie in the past
        self._coming = np.zeros(0, dtype=np.int16)  # frames after those, which may still be cut
        self._recent: list[tuple[int, NDArray[np.int16]]] = []
        self._closed = False
        self._ducked = False
        try:
            self._file = path.open("wb")
        except OSError as error:
            raise self._unwritable(error) from error
        self._wav = wave.open(self._file, "wb")  # noqa: SIM115 - stays open until `close`
        self._wav.setnchannels(1)
        self._wav.setsampwidth(2)
        self._wav.setframerate(rate_hz)
        self._write(self._coming)

    @property
    def rate_hz(self) -> int:
        """The rate of the file."""
        return self._rate_hz

    def play(self, pcm: NDArray[np.int16]) -> None:
        """Put samples (int16, mono, at `rate_hz`) after those before, or at now if that is later."""
        now = self._settle()
        silence = max(0, now - self._written - self._coming.size)
        start = self._written + self._coming.size + silence
        self._coming = np.concatenate([self._coming, np.zeros(silence, dtype=np.int16), pcm])
        self._recent.append((start, pcm))
        self._settle()

    def duck(self, softer: bool) -> None:
        """What sounds from now on is softer, or as loud as before; without a clock everything has sounded already."""
        self._settle()
        self._ducked = softer

    def cut(self) -> None:
        """Drop what lies after now; without a clock everything has been written already."""
        now = self._settle()
        self._coming = self._coming[:0]
        self._recent = [(start, pcm[: now - start]) for start, pcm in self._recent if start < now]

    @property
    def playing(self) -> bool:
        """Whether the clock has not reached the end of what was played."""
        self._settle()
        return self._coming.size > 0

    def played(self, start_s: float, frames: int) -> NDArray[np.int16]:
        """What lies in the file from `start_s` on (seconds of its clock), int16, mono, (frames,), 16 000 Hz.

        Only the last few sounds are known; older ones count as silence.
        """
        first, last = round(start_s * self._rate_hz), round((start_s + frames / SAMPLE_RATE_HZ) * self._rate_hz)
        out = np.zeros(last - first, dtype=np.int16)
        for start, pcm in self._recent:
            begin, end = max(first, start), min(last, start + pcm.size)
            if begin < end:
                out[begin - first : end - first] = pcm[begin - start : end - start]
        if self._rate_hz != SAMPLE_RATE_HZ:
            out = np.asarray(soxr.resample(out, self._rate_hz, SAMPLE_RATE_HZ))
        return np.pad(out, (0, max(0, frames - out.size)))[:frames]

    def close(self) -> None:
        """Write what is still to come and end the file; may be called twice."""
        if self._closed:
            return
        self._closed = True
        self._write(self._coming)
        self._wav.close()
        self._file.close()

    def _settle(self) -> int:
        """Write what has sounded by now, and say which frame now is."""
        if self._now_s is None:
            now = self._written + self._coming.size
        else:
            now = max(self._written, round(self._now_s() * self._rate_hz))
        past = min(now - self._written, self._coming.size)
        if past > 0 and not self._closed:
            sounded = self._coming[:past]
            self._write(ducked(sounded) if self._ducked else sounded)
            self._coming = self._coming[past:]
            self._recent = self._recent[-_REMEMBERED:]
        return now

    def _write(self, pcm: NDArray[np.int16]) -> None:
        try:
            self._wav.writeframes(pcm.astype("<i2").tobytes())
            self._file.flush()
        except OSError as error:
            raise self._unwritable(error) from error
        self._written += pcm.size

    def _unwritable(self, error: OSError) -> UsageError:
        return UsageError(f"Cannot write the sound file '{self._path}': {error.strerror or error}.")


DUCKED = 0.35
"""Share of its loudness that is left of sound that somebody hums over: some 9 dB less. Source: judgement."""


def ducked(pcm: NDArray[np.int16]) -> NDArray[np.int16]:
    """The samples, softer."""
    return np.asarray(np.rint(pcm * DUCKED), dtype=np.int16)


_REMEMBERED = 16
"""Sounds kept for `played`; enough for a few seconds of speech."""

"""The library sounddevice, loaded only where live sound is wanted."""

from __future__ import annotations

import ctypes
import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any, TextIO

from assistant.errors import SetupError

_NEEDED = "Live sound needs the PortAudio library: install it with 'apt install libportaudio2' (Debian, Ubuntu)"

TYPE_INSTEAD = "type what you would say, a line each, by adding --hear typed"


def load_sounddevice(instead: str) -> Any:
    """The module. `instead`: what to do without live sound, ends the sentence. Raises SetupError without PortAudio."""
    try:
        with quietly():
            import sounddevice  # noqa: PLC0415 - needs the system's PortAudio, which only live sound asks for
    except (ImportError, OSError) as error:
        raise SetupError(f"{_NEEDED}{instead}.") from error
    _hush_alsa()
    return sounddevice


_AlsaHandler = ctypes.CFUNCTYPE(None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p)


_SAY_NOTHING = _AlsaHandler(lambda *_message: None)
"""ALSA prints a line for each buffer that comes late, across whatever the terminal shows; we count those instead."""


def _hush_alsa() -> None:
    if sys.platform.startswith("linux"):
        with suppress(OSError, AttributeError):
            ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler(_SAY_NOTHING)


class _Hush:
    """Turns the process's error stream away while anybody wishes it, and back as it was once nobody does any more.

    There is only one such stream, so threads that came and went by themselves would put back each other's nowhere.
    What we ourselves print through `sys.stderr` still arrives.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._wishes = 0
        self._kept = -1
        self._ours: TextIO | None = None
        self._before: TextIO | None = None

    def begin(self) -> None:
        """One more wishes it."""
        with self._lock:
            self._wishes += 1
            if self._wishes == 1:
                self._turn_away()

    def end(self) -> None:
        """One less does."""
        with self._lock:
            self._wishes -= 1
            if self._wishes == 0:
                self._turn_back()

    def _turn_away(self) -> None:
        sys.stderr.flush()
        self._kept = os.dup(_ERROR_STREAM)
        if _writes_to(sys.stderr, _ERROR_STREAM):
            self._before = sys.stderr
            self._ours = sys.stderr = open(  # noqa: SIM115 - stays open until the stream is turned back
                self._kept, "w", buffering=1, encoding=sys.stderr.encoding, errors="backslashreplace", closefd=False
            )
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, _ERROR_STREAM)
        os.close(nowhere)

    def _turn_back(self) -> None:
        os.dup2(self._kept, _ERROR_STREAM)
        if self._ours is not None:
            self._ours.flush()
            if sys.stderr is self._ours and self._before is not None:
                sys.stderr = self._before
        os.close(self._kept)
        self._ours = self._before = None


_ERROR_STREAM = 2
_HUSH = _Hush()


def _writes_to(stream: TextIO, number: int) -> bool:
    try:
        return stream.fileno() == number
    except (OSError, ValueError):
        return False


@contextmanager
def quietly() -> Iterator[None]:
    """Keep what PortAudio and ALSA print about a device, one that does not open or goes away, off the terminal: our own
    sentence follows, or stands on the screen. May be used from several threads, and one within the other."""
    _HUSH.begin()
    try:
        yield
    finally:
        _HUSH.end()

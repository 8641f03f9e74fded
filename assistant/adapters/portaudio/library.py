"""The library sounddevice, loaded only where live sound is wanted."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

from assistant.errors import SetupError

_NEEDED = "Live sound needs the PortAudio library: install it with 'apt install libportaudio2' (Debian, Ubuntu)"


def load_sounddevice(instead: str) -> Any:
    """The module. `instead`: what to do without live sound, ends the sentence. Raises SetupError without PortAudio."""
    try:
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


@contextmanager
def quietly() -> Iterator[None]:
    """Keep what PortAudio and ALSA print about a device that does not open off the terminal: our sentence follows.

    They write to the process's error stream itself, so that is turned away for these milliseconds.
    """
    kept = os.dup(2)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)

"""Words to samples with pyttsx3, on the eSpeak NG library that comes in a wheel, else on the system's."""

from __future__ import annotations

import ctypes
import os
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.errors import SetupError

_QUIET = 33
"""Samples at most this large (about -60 dBFS in int16) at either end of a sentence count as silence."""

_PATIENCE_S = 10.0
"""A sentence takes about 20 ms; an engine that needs longer than this hangs."""

_TRIES = 5
"""Renderings of one sentence before the engine counts as broken: one in some ten thousand is cut (see `_render`)."""

_LIBRARY = "libespeak-ng.so.1"


class Pyttsx3Synthesiser:
    """Speaks text into arrays, with one voice; may be used from any thread."""

    def __init__(self, *, voice: str = "gmw/en-us") -> None:
        """`voice`: an eSpeak NG voice, with a variant if wanted, such as `gmw/en-us+f3` or `ko`."""
        self._voice = voice

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """The text spoken: int16, mono, (frames,), at `rate_hz`, without silence at either end; not to be written to.

        Text without a word in it gives no samples. Raises SetupError when the machine cannot speak.
        """
        if not any(sign.isalnum() for sign in text):
            return np.zeros(0, dtype=np.int16)
        spoken, spoken_hz = _engine().render(text, voice=self._voice, words_per_minute=words_per_minute)
        pcm = _resampled(_trimmed(spoken), spoken_hz, rate_hz)
        pcm.setflags(write=False)  # the same array is handed out again
        return pcm

    def close(self) -> None:
        """There is nothing to free: the engine is the process's."""


class _Engine:
    """pyttsx3 and the one thread that touches it: it is neither re-entrant nor thread-safe."""

    def __init__(self) -> None:
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="pyttsx3")
        self._espeak = sys.platform.startswith("linux")  # elsewhere the system's own voice speaks
        self._faults: list[str] = []
        self._finished = threading.Event()
        self._cut = False
        self._pyttsx3: Any = self._thread.submit(self._start).result()

    def render(self, text: str, *, voice: str, words_per_minute: int) -> tuple[NDArray[np.int16], int]:
        """The text spoken, int16, mono, (frames,), and its rate in hertz. Raises SetupError."""
        return self._thread.submit(self._render, text, voice, words_per_minute).result()

    def _start(self) -> Any:
        try:
            if self._espeak:
                _load_espeak()
            import pyttsx3  # noqa: PLC0415 - finds its library while it is imported, so the library is loaded first

            engine = pyttsx3.init("espeak" if self._espeak else None)
        except (ImportError, OSError, RuntimeError, ValueError) as error:
            raise _no_speech(error) from error
        if self._espeak:
            _hush_driver()
        engine.connect("error", self._note_fault)
        engine.connect("finished-utterance", self._note_finish)
        engine.runAndWait()  # afterwards properties take effect at once instead of waiting in pyttsx3's queue
        return engine

    def _render(self, text: str, voice: str, words_per_minute: int) -> tuple[NDArray[np.int16], int]:
        """pyttsx3 begins each run by stopping what still speaks, and it may take the change of rate before for that:
        then it cuts the new sentence, mostly to nothing, and calls it finished. A caution must not be lost so."""
        for _ in range(_TRIES):
            try:
                spoken, spoken_hz = self._render_once(text, voice, words_per_minute)
            except (RuntimeError, ValueError, OSError) as error:
                raise _no_speech(error) from error
            if spoken.size and not self._cut:
                return spoken, spoken_hz
        raise _no_speech(f"the speech engine cut one sentence {_TRIES} times")

    def _render_once(self, text: str, voice: str, words_per_minute: int) -> tuple[NDArray[np.int16], int]:
        with TemporaryDirectory(prefix="hoodside-") as folder:
            file = Path(folder) / "said.wav"
            self._save(text, file, voice, words_per_minute)
            if self._cut and not file.exists():
                return np.zeros(0, dtype=np.int16), 1
            spoken, spoken_hz = soundfile.read(file, dtype="int16", always_2d=True)
        return spoken[:, 0], spoken_hz

    def _save(self, text: str, file: Path, voice: str, words_per_minute: int) -> None:
        self._faults.clear()
        self._finished.clear()
        self._cut = False
        self._pyttsx3.setProperty("voice", voice)
        self._pyttsx3.setProperty("rate", words_per_minute)
        if self._espeak:
            _wait_for_rate()
        self._pyttsx3.save_to_file(text, str(file))
        self._pyttsx3.runAndWait()
        # With eSpeak NG `runAndWait` returns before the samples are there: the library computes on its own thread.
        if self._espeak and not self._faults and not self._finished.wait(_PATIENCE_S):
            self._faults.append("the speech engine did not answer")
        if self._faults:
            raise RuntimeError("; ".join(self._faults))

    def _note_fault(self, exception: Exception, **_others: object) -> None:
        self._faults.append(str(exception))

    def _note_finish(self, *, completed: bool, **_others: object) -> None:
        self._cut = self._cut or not completed
        self._finished.set()


@cache
def _engine() -> _Engine:
    """The one engine of the process: libespeak-ng keeps its state for the whole process, whoever asks."""
    return _Engine()


def _load_espeak() -> None:
    """Put libespeak-ng.so.1 into the process, where pyttsx3 looks for it by that name: the wheel's, so that every
    machine speaks alike, else the system's. Raises SetupError where there is neither."""
    try:
        import espeakng_loader  # noqa: PLC0415 - may be left out, being GPL-3.0-or-later; not needed on other systems
    except ImportError:
        _load_system_espeak()
        return
    data = Path(espeakng_loader.get_data_path())
    ctypes.CDLL(str(data.parent / _LIBRARY), mode=ctypes.RTLD_GLOBAL)
    os.environ["ESPEAK_DATA_PATH"] = str(data)


def _load_system_espeak() -> None:
    try:
        ctypes.CDLL(_LIBRARY, mode=ctypes.RTLD_GLOBAL)
    except OSError as error:
        raise SetupError(
            "This machine cannot speak: eSpeak NG is missing; install it with: python -m pip install espeakng-loader, "
            "or 'apt install libespeak-ng1' (Debian, Ubuntu), or go on with --say silent."
        ) from error


def _hush_driver() -> None:
    """The driver prints each file it saved; standard output belongs to our own answers."""
    from pyttsx3.drivers import espeak  # noqa: PLC0415 - loads the library, as above

    espeak.print = lambda *_args, **_options: None


def _wait_for_rate() -> None:
    """The rate travels to eSpeak NG's thread as a message, which the start of a rendering would throw away."""
    from pyttsx3.drivers import _espeak  # noqa: PLC0415 - loads the library, as above

    _espeak.Synchronize()


def _no_speech(error: Exception | str) -> SetupError:
    return SetupError(
        f"This machine cannot speak: {error}. Install the parts again with "
        "'pip install --force-reinstall pyttsx3 espeakng-loader', or go on with --say silent."
    )


def _trimmed(pcm: NDArray[np.int16]) -> NDArray[np.int16]:
    loud = np.flatnonzero(np.abs(pcm.astype(np.int32)) > _QUIET)
    return pcm[loud[0] : loud[-1] + 1] if loud.size else pcm[:0]


def _resampled(pcm: NDArray[np.int16], from_hz: int, to_hz: int) -> NDArray[np.int16]:
    return pcm.copy() if from_hz == to_hz else np.asarray(soxr.resample(pcm, from_hz, to_hz, quality="HQ"))

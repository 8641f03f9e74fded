"""Words to samples with hibari-tts: one voice, which lies in the wheel; no other may be asked for, it would be fetched.

The wheel's parts are put together here, so that the way to its fetching is never gone: that is taken only for a voice
by name, and we give the network's path. Nothing is written. onnxruntime comes through its one door.
"""

from __future__ import annotations

import importlib
import threading
from functools import cache
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.adapters.synthesiser_hibari.files import ADVICE, find_voice
from assistant.adapters.synthesiser_hibari.readings import WORDS, spelt
from assistant.errors import SetupError
from assistant.onnx_runtime import load_onnxruntime

OWN_WPM = 205.0
"""At this rate the voice goes at its own pace. Its phones last whole frames, so its rate goes in steps: asked for
105, 125, 145, 165, 185, 205, 250, 300 it gave 102, 125, 146, 183, 206, 214, 241, 341 on 60 of our sentences, the other
voice 120, 143, 166, 188, 212, 236, 287, 348."""

SLOWEST, FASTEST = 0.5, 2.0
"""Paces that the network was made for, as a factor. Source: the wheel's own description."""

GAIN = 1.75
"""Brings the voice to the loudness of the other one. Measured: 150 of our sentences, by ITU-R BS.1770."""

CEILING = 0.95
"""No sample is louder, of 1; what is over KNEE is pressed together so that loud vowels do not clip."""

KNEE = 0.7

_QUIET = 10 ** (-50 / 20)
"""What is so far below the loudest sample at either end of a sentence counts as silence."""

_SEED = 1
"""Of the voice's breath: the same words sound alike each time."""


class HibariSynthesiser:
    """Speaks text into arrays; may be used from any thread."""

    def __init__(self, *, throat: float = 1.0) -> None:
        """`throat`: how large it is, beside the voice's own: pitch and resonances lie so much lower."""
        self._throat = throat

    def warm(self) -> None:
        """Begin to load, on a thread of its own, what speaking needs; what goes wrong is raised by `render`."""
        threading.Thread(target=self._try_to_load, name="voice-warming", daemon=True).start()

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """The text spoken: int16, mono, (frames,), at `rate_hz`, without silence at either end; not to be written to.

        Text without a word in it gives no samples. Raises SetupError when the voice cannot be had or fails.
        """
        if not any(sign.isalnum() for sign in text):
            return np.zeros(0, dtype=np.int16)
        pace = min(max(words_per_minute / OWN_WPM * self._throat, SLOWEST), FASTEST)
        with _ONE_AT_A_TIME:
            engine = _engine()
            spoken = _pressed(_trimmed(engine.speak(text, pace)) * np.float32(GAIN))
        # A larger throat is the same sound played slower: the pace above makes up for it.
        sound = soxr.resample(spoken, engine.rate_hz / self._throat, rate_hz, quality="HQ")
        pcm = np.asarray(np.rint(np.clip(sound, -1.0, 1.0) * 32_767), dtype=np.int16)
        pcm.setflags(write=False)  # the same array is handed out again
        return pcm

    def close(self) -> None:
        """There is nothing to free: the engine is the process's."""

    def _try_to_load(self) -> None:
        try:
            with _ONE_AT_A_TIME:
                _engine()
        except SetupError:
            return  # `render` tries once more and tells


class _Engine:
    """The wheel's rules for words, its network and its arithmetic. Raises SetupError where it cannot be had."""

    def __init__(self) -> None:
        path = find_voice()
        load_onnxruntime()  # first: the wheel would import the library without shutting its uploader
        try:
            rules = importlib.import_module("hibari.g2p").G2P()
            rules.lexicon.golds.d.update(WORDS)
            rules("ottf")  # a word that is in no dictionary loads what reads such words
            # One core: a sentence takes 30 ms, and the other core is listening.
            self._voice: Any = importlib.import_module("hibari").Hibari(model=str(path), threads=1, g2p=rules)
            self.rate_hz = int(self._voice.sample_rate)
            self.speak("Ready.", 1.0)  # the first sentence takes longer than those after it
        except Exception as error:  # whatever the wheel or its runtime raises: it has no family of its own
            raise _no_voice(error) from error

    def speak(self, text: str, pace: float) -> NDArray[np.float32]:
        """The text spoken, float32, mono, (frames,), at `rate_hz`. `pace`: 1 is the voice's own. Raises SetupError."""
        breath = np.random.default_rng(_SEED)
        try:
            parts = [self._sound(phones, pace, breath) for phones in self._voice.phonemize(spelt(text))]
        except Exception as error:  # as above
            raise _no_voice(error) from error
        return np.concatenate(parts) if parts else np.zeros(0, np.float32)

    def _sound(self, phones: str, pace: float, breath: np.random.Generator) -> NDArray[np.float32]:
        sound: NDArray[np.float32] = self._voice.from_ids(self._voice.ids(phones), pace, breath)
        return sound


_ONE_AT_A_TIME = threading.Lock()
"""Loading and speaking: who asks while the voice is being loaded waits instead of loading it again."""


@cache
def _engine() -> _Engine:
    """The one engine of the process, of 110 MB. What cannot be had is tried anew each time."""
    return _Engine()


def _no_voice(error: Exception) -> SetupError:
    return SetupError(f"The natural voice fails ({str(error) or type(error).__name__}); {ADVICE}")


def _trimmed(sound: NDArray[np.float32]) -> NDArray[np.float32]:
    level = np.abs(sound)
    loud = np.flatnonzero(level > _QUIET * level.max(initial=0.0))
    return sound[loud[0] : loud[-1] + 1] if loud.size else sound[:0]


def _pressed(sound: NDArray[np.float32]) -> NDArray[np.float32]:
    """Samples up to KNEE as they are, louder ones bent towards CEILING, which none reaches."""
    level = np.abs(sound)
    room = CEILING - KNEE
    bent = KNEE + room * np.tanh((level - KNEE) / room)
    return np.where(level > KNEE, np.sign(sound) * bent, sound).astype(np.float32)

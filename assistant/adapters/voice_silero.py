"""How likely a moment of sound is somebody's voice, by the Silero detector."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.speech_detector import speech_detector


def voice_detector() -> Callable[[NDArray[np.int16]], float]:
    """A detector with a memory of its own: feed it 512 samples at a time, 16 000 Hz, in order."""
    detector = speech_detector()
    return lambda frame: float(detector(frame.tobytes()))

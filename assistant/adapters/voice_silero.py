"""How likely a moment of sound is somebody's voice, by the Silero detector."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.speech_detector import speech_detector

FULL_SCALE = 32767
"""What the detector's library takes for a sample of 1."""


def voice_detector() -> Callable[[NDArray[np.int16]], float]:
    """A detector with a memory of its own: feed it 512 samples at a time, 16 000 Hz, in order."""
    detector = speech_detector()
    # As samples: from bytes the library makes the same numbers one by one, a fifth of its time.
    return lambda frame: float(detector.process_samples((frame / FULL_SCALE).tolist()))

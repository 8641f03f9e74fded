"""One sound file of a whole conversation: voices and tones laid at their seconds over the noise of a shop."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ

FULL_SCALE = 32_767


class Timeline:
    """Sound placed by time. Mono, 16 000 Hz; where two sounds meet they are added and limited to full scale."""

    def __init__(self) -> None:
        self._placed: list[tuple[int, NDArray[np.int16]]] = []

    def place(self, at_s: float, pcm: NDArray[np.int16]) -> None:
        """Lay `pcm` (int16, mono, (frames,), 16 000 Hz) so that its first sample sounds at `at_s` seconds."""
        self._placed.append((max(0, round(at_s * SAMPLE_RATE_HZ)), pcm))

    def samples(self) -> NDArray[np.int16]:
        """Everything mixed: int16, mono, (frames,), as long as the last sound needs."""
        frames = max((start + len(pcm) for start, pcm in self._placed), default=0)
        mixed = np.zeros(frames, dtype=np.int32)
        for start, pcm in self._placed:
            mixed[start : start + len(pcm)] += pcm
        return np.clip(mixed, -FULL_SCALE, FULL_SCALE).astype(np.int16)

    def write(self, path: Path) -> None:
        """Write the mix as a 16-bit WAV file. Raises OSError."""
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(SAMPLE_RATE_HZ)
            file.writeframes(self.samples().tobytes())

"""Sound clips as WAV files beside the store, readable by the user alone."""

from __future__ import annotations

import os
import wave
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ
from assistant.record.clips import clips_place


class WavClips:
    """Implements `assistant.ports.Clips` in the data folder."""

    def __init__(self, data: Path) -> None:
        self._data = data

    def keep(self, job: str, name: str, pcm: NDArray[np.int16]) -> bool:
        """See ports.Clips. A file is whole and on the disk before it gets its name."""
        folder = self._data.joinpath(*clips_place(job))
        unfinished = folder / f".{name}"
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            with unfinished.open("wb") as file:
                unfinished.chmod(0o600)
                with wave.open(file, "wb") as sound:
                    sound.setnchannels(1)
                    sound.setsampwidth(2)
                    sound.setframerate(SAMPLE_RATE_HZ)
                    sound.writeframes(pcm.astype("<i2").tobytes())
                file.flush()
                os.fsync(file.fileno())
            unfinished.replace(folder / name)
        except OSError:
            return False
        return True

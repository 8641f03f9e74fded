"""Sound clips as WAV files beside the store, readable by the user alone."""

from __future__ import annotations

import os
import wave
from collections.abc import Iterable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ
from assistant.record.clips import clip_fits, clips_place


def as_samples(pcm: NDArray[np.int16]) -> bytes:
    """The sound as the bytes that a clip is named after: int16, little-endian."""
    return pcm.astype("<i2").tobytes()


class WavClips:
    """Implements `assistant.ports.Clips` in the data folder."""

    def __init__(self, data: Path, label: str | None = None) -> None:
        self._data = data
        self._label = label

    def under(self, label: str) -> WavClips:
        """See ports.Clips."""
        return WavClips(self._data, label)

    def keep(self, job: str, name: str, pcm: NDArray[np.int16]) -> bool:
        """See ports.Clips. A file is whole and on the disk before it gets its name."""
        folder = self._data.joinpath(*clips_place(self._label or job))
        unfinished = folder / f".{name}"
        samples = as_samples(pcm)
        try:
            for one in (self._data, folder.parent, folder):  # `parents` would leave those above open to others
                one.mkdir(mode=0o700, exist_ok=True)
            with unfinished.open("wb") as file:
                unfinished.chmod(0o600)
                with wave.open(file, "wb") as sound:
                    sound.setnchannels(1)
                    sound.setsampwidth(2)
                    sound.setframerate(SAMPLE_RATE_HZ)
                    sound.writeframes(samples)
                file.flush()
                os.fsync(file.fileno())
            unfinished.replace(folder / name)
        except OSError:
            return False
        return True

    def faults(self, job: str, names: Iterable[str]) -> tuple[str, ...]:
        """One sentence for each clip of the job that is here and no longer what its name says."""
        found = []
        for name in names:
            path = self._data.joinpath(*clips_place(job), name)
            if path.exists() and not clip_fits(name, _samples_of(path)):
                found.append(f"the sound {name} of job '{job}' was changed")
        return tuple(found)

    def missing(self, job: str, names: Iterable[str]) -> int:
        """How many of the job's clips are not here: sound does not travel with an export."""
        return sum(not self._data.joinpath(*clips_place(job), name).exists() for name in names)


def _samples_of(path: Path) -> bytes:
    """What the file holds; nothing where it is no sound any more."""
    try:
        with wave.open(str(path)) as sound:
            return bytes(sound.readframes(sound.getnframes()))
    except (OSError, EOFError, wave.Error):
        return b""

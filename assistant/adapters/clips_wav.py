"""Sound clips as WAV files, and photographs as they came, beside the store, readable by the user alone."""

from __future__ import annotations

import os
import wave
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ
from assistant.record.clips import clip_fits, clips_place
from assistant.record.photographs import picture_fits


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
        """See ports.Clips."""
        samples = as_samples(pcm)

        def write(file: BinaryIO) -> None:
            with wave.open(file, "wb") as sound:
                sound.setnchannels(1)
                sound.setsampwidth(2)
                sound.setframerate(SAMPLE_RATE_HZ)
                sound.writeframes(samples)

        return _keep(self._data, self._label or job, name, write)

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


class PictureFiles:
    """Implements `assistant.ports.Pictures` in the data folder."""

    def __init__(self, data: Path, label: str | None = None) -> None:
        self._data = data
        self._label = label

    def under(self, label: str) -> PictureFiles:
        """See ports.Pictures."""
        return PictureFiles(self._data, label)

    def keep(self, job: str, name: str, picture: bytes) -> bool:
        """See ports.Pictures."""
        return _keep(self._data, self._label or job, name, lambda file: file.write(picture))

    def read(self, job: str, name: str) -> bytes | None:
        """The photograph of that name; None where it is not here, or no longer what its name says."""
        try:
            picture = self._data.joinpath(*clips_place(job), name).read_bytes()
        except OSError:
            return None
        return picture if picture_fits(name, picture) else None

    def faults(self, job: str, names: Iterable[str]) -> tuple[str, ...]:
        """One sentence for each photograph of the job that is here and no longer what its name says."""
        here = (name for name in names if self._data.joinpath(*clips_place(job), name).exists())
        return tuple(
            f"the photograph {name} of job '{job}' was changed" for name in here if self.read(job, name) is None
        )

    def missing(self, job: str, names: Iterable[str]) -> int:
        """How many of the job's photographs are not here."""
        return sum(not self._data.joinpath(*clips_place(job), name).exists() for name in names)


def _keep(data: Path, job: str, name: str, write: Callable[[BinaryIO], object]) -> bool:
    """Write a file of the job; it is whole and on the disk before it gets its name."""
    folder = data.joinpath(*clips_place(job))
    unfinished = folder / f".{name}"
    try:
        for one in (data, folder.parent, folder):  # `parents` would leave those above open to others
            one.mkdir(mode=0o700, exist_ok=True)
        with unfinished.open("wb") as file:
            unfinished.chmod(0o600)
            write(file)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(folder / name)
    except OSError:
        return False
    return True


def _samples_of(path: Path) -> bytes:
    """What the file holds; nothing where it is no sound any more."""
    try:
        with wave.open(str(path)) as sound:
            return bytes(sound.readframes(sound.getnframes()))
    except (OSError, EOFError, wave.Error):
        return b""

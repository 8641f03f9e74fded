"""Sound files of any rate, depth and number of channels as the house's one kind of samples."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.errors import UsageError
from assistant.ports import SAMPLE_RATE_HZ

LONGEST_S = 600.0
"""A longer file is no single thing said; reading it whole would only fill the memory."""


def read_sound(path: Path) -> NDArray[np.int16]:
    """The file's sound: int16, mono (mean of the channels), (frames,), 16 000 Hz.

    Raises: UsageError when it cannot be read as sound, is empty, longer than LONGEST_S, or holds no numbers.
    """
    try:
        with soundfile.SoundFile(str(path)) as file:
            if not 1000 <= file.samplerate <= 400_000:
                raise UsageError(f"{path}: a rate of {file.samplerate} Hz is no sound; expected 8000 to 192000 Hz")
            if file.frames > LONGEST_S * file.samplerate:
                seconds = file.frames / file.samplerate
                raise UsageError(f"{path}: {seconds:.0f} s of sound; one take has at most {LONGEST_S:.0f} s")
            rate = file.samplerate
            samples = file.read(dtype="float64", always_2d=True)
    except (soundfile.LibsndfileError, OSError, RuntimeError, TypeError) as error:
        raise UsageError(f"{path}: {_reason(path, error)}") from error
    if not len(samples):
        raise UsageError(f"{path}: the file holds no sound")
    if not np.isfinite(samples).all():
        raise UsageError(f"{path}: some samples are not numbers; record it again")
    mono = samples.mean(axis=1)
    if rate != SAMPLE_RATE_HZ:
        mono = soxr.resample(mono, rate, SAMPLE_RATE_HZ)
    return np.asarray(np.clip(mono * 32768, -32768, 32767), np.int16)


def _reason(path: Path, error: Exception) -> str:
    if not path.exists():
        return "there is no such file"
    if path.is_dir():
        return "this is a folder; expected a WAV file"
    if path.stat().st_size == 0:
        return "the file is empty"
    detail = str(error).rpartition(": ")[2].rstrip(".")
    return f"this cannot be read as sound ({detail or type(error).__name__}); expected a WAV file"

"""A sound file in place of a microphone: any rate, depth and number of channels become 16 kHz mono."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.errors import UsageError
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

_BLOCK_FRAMES = 512
"""32 ms at 16 000 Hz, as from the live microphone."""

_CHUNK_S = 1.0
"""Read from the file at once, so that a file of any length needs little memory."""

_LONGEST_S = 1800.0
"""What `read_sound` takes whole: half an hour, 58 MB."""

_SLOWEST_HZ, _FASTEST_HZ = 4_000, 384_000
"""Below, no speech is left; above, no recorder is known (from memory)."""

_CANCELLED = 0.01
"""Share of the loudest channel's power that is left of the mix where two channels cancel each other: 20 dB less."""

_OPEN_ENDED = (0, 0xFFFF_FFFF, 0x7FFF_FFFF)
"""Lengths that programs write into the header when they do not know the length yet."""


def read_sound(path: Path) -> NDArray[np.int16]:
    """The whole file: int16, mono, (frames,), 16 000 Hz.

    Raises UsageError: no such file, not a sound, cut short, no samples, an impossible rate, longer than half an hour.
    """
    with _opened(path) as file:
        if file.frames / file.samplerate > _LONGEST_S:
            raise UsageError(f"'{path}' lasts longer than {_LONGEST_S / 60:.0f} minutes; cut it into shorter files.")
        pcm = np.concatenate(list(_converted(path, file)))
    if not pcm.size:
        raise UsageError(f"'{path}' holds no sound.")
    return pcm


class WavMicrophone:
    """Gives the blocks of a file as fast as they are asked for, as if they came from a microphone."""

    def __init__(self, path: Path) -> None:
        """Raises UsageError as `read_sound`; a file may last as long as it likes here."""
        self._file = _opened(path)
        self._pieces = _converted(path, self._file)
        self._rest = np.zeros(0, dtype=np.int16)
        self._given = 0

    def read(self, timeout_s: float) -> AudioBlock | None:
        """The next 32 ms; the last block may be shorter. Raises EOFError at the end, UsageError on a broken file."""
        while self._rest.size < _BLOCK_FRAMES and (piece := next(self._pieces, None)) is not None:
            self._rest = np.concatenate([self._rest, piece])
        pcm, self._rest = self._rest[:_BLOCK_FRAMES], self._rest[_BLOCK_FRAMES:]
        if not pcm.size:
            raise EOFError("the sound file has ended")
        block = AudioBlock(pcm=pcm, start_s=self._given / SAMPLE_RATE_HZ)
        self._given += pcm.size
        return block

    def close(self) -> None:
        """Close the file; may be called twice."""
        self._file.close()


def _opened(path: Path) -> soundfile.SoundFile:
    try:
        with path.open("rb") as raw:
            _refuse_cut_short(path, raw.read(12 + 8 * 64), path.stat().st_size)
        file = soundfile.SoundFile(path)
    except OSError as error:
        raise UsageError(f"Cannot read the sound file '{path}': {error.strerror or error}.") from error
    except soundfile.LibsndfileError as error:
        raise UsageError(f"'{path}' is not a sound file that can be read: {error.error_string}") from error
    if not _SLOWEST_HZ <= file.samplerate <= _FASTEST_HZ:
        file.close()
        raise UsageError(
            f"'{path}' says that it has {file.samplerate} samples a second; "
            f"expected {_SLOWEST_HZ} to {_FASTEST_HZ}. The file is damaged."
        )
    return file


def _refuse_cut_short(path: Path, head: bytes, size: int) -> None:
    """libsndfile reads a WAV that ends early without a word, so the chunk lengths are compared with the file first."""
    if head[:4] != b"RIFF" or head[8:12] != b"WAVE":
        return
    at = 12
    while at + 8 <= len(head):
        length = int.from_bytes(head[at + 4 : at + 8], "little")
        if head[at : at + 4] == b"data":
            if length not in _OPEN_ENDED and at + 8 + length > size:
                missing = at + 8 + length - size
                raise UsageError(f"'{path}' is cut short: {missing} of {length} bytes of sound are missing.")
            return
        at += 8 + length + length % 2
    if at >= size:
        raise UsageError(f"'{path}' is cut short: it ends before its sound begins.")


def _converted(path: Path, file: soundfile.SoundFile) -> Iterator[NDArray[np.int16]]:
    """Pieces of about a second: int16, mono, 16 000 Hz."""
    resample = soxr.ResampleStream(file.samplerate, SAMPLE_RATE_HZ, 1, dtype="float32")
    frames = round(_CHUNK_S * file.samplerate)
    numbers = False
    while True:
        try:
            piece = file.read(frames, dtype="float32", always_2d=True)
        except soundfile.LibsndfileError as error:
            raise UsageError(f"'{path}' breaks off: {error.error_string}") from error
        last = len(piece) < frames
        numbers = numbers or bool(np.isfinite(piece).any())
        if last and not numbers and (len(piece) or file.frames):
            raise UsageError(f"'{path}' holds no numbers that could be sound; record it again.")
        mono = _mixed(np.nan_to_num(piece, posinf=1.0, neginf=-1.0))
        out = mono if file.samplerate == SAMPLE_RATE_HZ else resample.resample_chunk(mono, last=last)
        yield np.asarray(np.rint(np.clip(out * 32768.0, -32768.0, 32767.0)), dtype=np.int16)
        if last:
            return


def _mixed(piece: NDArray[np.float32]) -> NDArray[np.float32]:
    """The channels together; where they cancel each other, as of a lead wired the wrong way round, the loudest."""
    mono = piece.mean(axis=1)
    power = (piece.astype(np.float64) ** 2).mean(axis=0) if len(piece) else np.zeros(1)
    if float((mono.astype(np.float64) ** 2).mean() if len(mono) else 0.0) < _CANCELLED * power.max():
        mono = piece[:, int(np.argmax(power))]
    return np.asarray(mono, dtype=np.float32)

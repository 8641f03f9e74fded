"""Sound in which no starter turns, by kind: made-up shop noise, and music and talk that Debian packages carry."""

from __future__ import annotations

import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.bench.noises import NOISES as OTHER_NOISES
from assistant.bench.recorded import read_sound
from assistant.bench.talk import announcements
from assistant.cranking import shop_noise
from assistant.ports import SAMPLE_RATE_HZ

MUSIC = Path("/usr/share/asterisk/moh")
"""Recorded music. Source: Debian's asterisk-moh-opsound-wav, CC-BY-SA."""

PIECE_S = 120.0

Pcm = NDArray[np.int16]


def made_up(kind: str, hours: float, seed: int) -> Iterator[Pcm]:
    """Pieces of one made-up kind, each in its own room before its own microphone."""
    for number in range(max(1, round(hours * 3600 / PIECE_S))):
        rng = np.random.default_rng([seed, number])
        sound = shop_noise.NOISES[kind](PIECE_S, rng)
        yield shop_noise.microphone(shop_noise.room(sound, rng), rng)


def of_hearing_bench(kind: str, hours: float, seed: int) -> Iterator[Pcm]:
    """Pieces of a noise that the ear was not built with."""
    for number in range(max(1, round(hours * 3600 / PIECE_S))):
        sound = OTHER_NOISES[kind](int(PIECE_S * SAMPLE_RATE_HZ), np.random.default_rng([seed, number]))
        yield np.asarray(sound / np.quantile(np.abs(sound), 0.999) * 12_000, dtype=np.float64).astype(np.int16)


def recorded_music() -> Iterator[Pcm]:
    """The pieces of music, whole; none where they are not installed."""
    for path in sorted(MUSIC.glob("*.wav")):
        with wave.open(str(path)) as file:
            if file.getsampwidth() != 2:
                continue
            frames = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
            mono = frames.reshape(-1, file.getnchannels()).mean(axis=1) / 32768
            yield np.asarray(soxr.resample(mono, file.getframerate(), SAMPLE_RATE_HZ) * 32767, dtype=np.int16)


def recordings(folder: Path) -> Iterator[tuple[str, Iterator[Pcm]]]:
    """Each kind of recorded sound in a folder of folders, and its recordings. Source: `.ci/sounds` fetches some."""
    for kind in sorted(path for path in folder.iterdir() if path.is_dir()):
        yield (
            kind.name,
            (read_sound(path) for path in sorted(kind.iterdir()) if path.suffix in (".ogg", ".wav", ".flac")),
        )


def recorded_talk() -> Iterator[Pcm]:
    """All announcements, half a second apart, as one take; none where they are not installed."""
    gap = np.zeros(SAMPLE_RATE_HZ // 2, np.int16)
    parts = [part for piece in announcements() for part in (piece, gap)]
    if parts:
        yield np.concatenate(parts)

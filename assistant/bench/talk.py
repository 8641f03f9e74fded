"""Recorded people: what Debian's packages carry, read where it is installed and never copied."""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import BinaryIO

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.ports import SAMPLE_RATE_HZ

Pcm = NDArray[np.int16]

ANNOUNCEMENTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
"""Recorded announcements of a real person. Source: Debian's asterisk-core-sounds-en-g722, CC-BY-SA."""

TEST_DATA = Path("/usr/share/pocketsphinx/test/data")
"""Commands and read speech of several people, with transcripts. Source: Debian's pocketsphinx-testdata."""


ACTED = Path("/usr/share/scummvm/flight-of-the-amazon-queen/queen.1c")
"""4.6 hours of a game's dialogue, 6,745 lines spoken by actors, sampled at 11 kHz. Source: Debian's
flight-of-the-amazon-queen (J. Passfield and S. Stamatiadis, 1995; may be passed on, not sold)."""

LEARNT_EVERY = 2
"""Every so manieth line, from the first on, the second opinion may learn from; only the others are measured with."""

SOUND = b".SB"
"""How the name of one line's sound ends."""


def announcements() -> list[Pcm]:
    """A real person's recorded announcements, none of them a command of ours; empty where they are not installed."""
    return [pcm for path in sorted(ANNOUNCEMENTS.glob("*.g722")) if len(pcm := _decoded(path)) > 8_000]


def word(name: str) -> Pcm | None:
    """One recorded word of that person, as "digits/12"; None where it is not installed."""
    path = ANNOUNCEMENTS / f"{name}.g722"
    pcm = _decoded(path) if path.is_file() else np.zeros(0, np.int16)
    return pcm if len(pcm) else None


def read_aloud() -> list[Pcm]:
    """Sentences of a book, read aloud by a volunteer; empty where they are not installed."""
    return [recording(path) for path in sorted((TEST_DATA / "librivox").glob("*.wav"))]


def acted(part: slice = slice(None)) -> list[Pcm]:
    """Of the lines that actors speak in a game this part, in the order of the file; empty where it is not installed."""
    if not ACTED.is_file():
        return []
    with ACTED.open("rb") as file:
        return [_line(file, *place) for place in _lines(file)[part]]


def acted_lines() -> int:
    """How many there are."""
    if not ACTED.is_file():
        return 0
    with ACTED.open("rb") as file:
        return len(_lines(file))


def _lines(file: BinaryIO) -> list[tuple[int, int]]:
    """First byte and length of each line's sound. The file begins with 13 bytes of its own, how many entries it has
    (16 bits, as all numbers the high byte first), and for each a name of 12 bytes, one byte, and these two numbers."""
    (count,) = struct.unpack(">13xH", file.read(15))
    entries = (struct.unpack(">12sxII", file.read(21)) for _ in range(count))
    return [(first, length) for name, first, length in entries if name.rstrip(b"\0").endswith(SOUND)]


def _line(file: BinaryIO, first: int, length: int) -> Pcm:
    file.seek(first)
    sound, rate_hz = soundfile.read(io.BytesIO(file.read(length)), dtype="float32", always_2d=True)
    heard = soxr.resample(sound.mean(axis=1), rate_hz, SAMPLE_RATE_HZ)
    return np.asarray((heard * 32_768).clip(-32_768, 32_767), np.int16)


def spoken_commands() -> Iterator[tuple[str, str, Sequence[Pcm], Sequence[str]]]:
    """Name, grammar in JSGF, recordings and what was said in each: short commands of real people."""
    cards = TEST_DATA / "cards"
    if (cards / "cards.transcription").is_file():
        lines = (cards / "cards.transcription").read_text(encoding="ascii").splitlines()
        heard = {line.split("(")[1].rstrip(") "): line.split("<s>")[1].split("</s>")[0].strip() for line in lines}
        names = sorted(heard)
        grammar = (cards / "cards.gram").read_text(encoding="ascii")
        yield "cards", grammar, [recording(cards / f"{name}.wav") for name in names], [heard[name] for name in names]
    if (TEST_DATA / "goforward.raw").is_file():
        grammar = (TEST_DATA / "goforward.gram").read_text(encoding="ascii")
        yield "go forward", grammar, [recording(TEST_DATA / "goforward.raw")], ["go forward ten meters"]
    if (TEST_DATA / "tidigits" / "dhd.2934z.raw").is_file():
        digits = "public <digits> = (zero | oh | one | two | three | four | five | six | seven | eight | nine)+;"
        yield "digits", digits, [recording(TEST_DATA / "tidigits" / "dhd.2934z.raw")], ["two nine three four zero"]


def recording(path: Path) -> Pcm:
    """A recording of 16 000 Hz, mono, 16 bits, with a header or without."""
    if path.suffix == ".raw":
        return np.fromfile(path, "<i2").astype(np.int16)
    sound, _ = soundfile.read(path, dtype="int16")
    return np.asarray(sound, np.int16)


def _decoded(path: Path) -> Pcm:
    try:
        from G722 import G722  # noqa: PLC0415 - a wheel of the test extra: only the benches decode telephone sound
    except ImportError:
        return np.zeros(0, np.int16)
    return np.array(G722(16_000, 64_000).decode(path.read_bytes()), np.int16)

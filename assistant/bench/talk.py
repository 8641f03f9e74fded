"""Recorded people: what Debian's packages carry, read where it is installed and never copied."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

Pcm = NDArray[np.int16]

ANNOUNCEMENTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
"""Recorded announcements of a real person. Source: Debian's asterisk-core-sounds-en-g722, CC-BY-SA."""

TEST_DATA = Path("/usr/share/pocketsphinx/test/data")
"""Commands and read speech of several people, with transcripts. Source: Debian's pocketsphinx-testdata."""


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

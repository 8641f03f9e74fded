"""Recorded talk is read where a package keeps it, line by line."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.bench import talk
from assistant.training.second import lines_of_actors

RATE_HZ = 11_025


def _sound(seconds: float, hz: float) -> bytes:
    wave = 0.5 * np.sin(2 * np.pi * hz * np.arange(int(seconds * RATE_HZ)) / RATE_HZ)
    file = io.BytesIO()
    soundfile.write(file, wave, RATE_HZ, format="FLAC")
    return file.getvalue()


@pytest.fixture
def lines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """A made-up file as the game's is built: a picture among lines of so many seconds, each of another pitch."""
    seconds = [0.5 + 0.1 * number for number in range(6)]
    parts = [(b"PICTURE.ACT", b"no sound")]
    parts += [(b"LINE%d.SB" % number, _sound(each, 200 + 100 * number)) for number, each in enumerate(seconds)]
    head, body = b"", b""
    first = 15 + 21 * len(parts)
    for name, data in parts:
        head += struct.pack(">12sxII", name, first + len(body), len(data))
        body += data
    path = tmp_path / "queen.1c"
    path.write_bytes(bytes(13) + struct.pack(">H", len(parts)) + head + body)
    monkeypatch.setattr(talk, "ACTED", path)
    return seconds


def test_each_line_is_read_at_our_rate(lines: list[float]) -> None:
    """Of the length and pitch that it was spoken at; what is no sound is none."""
    heard = talk.acted()
    assert talk.acted_lines() == len(heard) == len(lines)
    for number, (pcm, seconds) in enumerate(zip(heard, lines, strict=True)):
        assert len(pcm) / 16_000 == pytest.approx(seconds, abs=0.01)
        loudest = np.abs(np.fft.rfft(pcm)).argmax() * 16_000 / len(pcm)
        assert loudest == pytest.approx(200 + 100 * number, abs=3)


def test_what_is_learnt_from_is_never_measured_with(lines: list[float]) -> None:
    """Every second line, and not more than are asked for."""
    learnt = {len(pcm) for pcm in lines_of_actors(3)}
    measured = {len(pcm) for pcm in talk.acted(slice(1, None, talk.LEARNT_EVERY))}
    assert len(learnt) == len(measured) == len(lines) // 2
    assert not learnt & measured
    assert len(lines_of_actors(1)) == 1


def test_without_the_package_there_is_no_talk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And nothing fails."""
    monkeypatch.setattr(talk, "ACTED", tmp_path / "none")
    assert (talk.acted(), talk.acted_lines(), lines_of_actors(9)) == ([], 0, [])

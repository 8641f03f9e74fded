"""Sound files with odd headers, and layers or profiles that are none: one sentence, or sound within its bounds."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.microphone_wav import WavMicrophone, read_sound
from assistant.adapters.recogniser_embedded.files import GATE_LAYERS, read_gate_layers
from assistant.errors import SetupError, UsageError
from tests.fuzz.odd import bounded, cases, odd_bytes

FRAMES = 2_000


def sound(kind: str, rate_hz: int = 16_000, channels: int = 1) -> bytes:
    """A short file of that kind."""
    out = io.BytesIO()
    pcm = (8_000 * np.sin(np.arange(FRAMES * channels) / 7)).astype(np.int16).reshape(-1, channels)
    soundfile.write(out, pcm, rate_hz, format=kind, subtype="PCM_16" if kind != "OGG" else None)
    return out.getvalue()


KINDS = ("WAV", "AIFF", "FLAC", "W64", "CAF")
GOOD = (*(sound(kind) for kind in KINDS), sound("WAV", 44_100, 2))
LAYERS = GATE_LAYERS.read_bytes()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One for all cases."""
    return tmp_path_factory.mktemp("odd")


@cases(100, share=0.5)
@given(st.sampled_from(GOOD).flatmap(lambda good: odd_bytes(good, head=120)))
def test_a_sound_file(folder: Path, content: bytes) -> None:
    """Read whole, or block by block, or refused in a sentence that names the file."""
    path = folder / "odd.wav"
    path.write_bytes(content)
    with bounded():
        try:
            pcm = read_sound(path)
        except UsageError as refused:
            assert str(path) in str(refused)
        else:
            assert pcm.dtype == np.int16 and pcm.ndim == 1
        try:
            microphone = WavMicrophone(path)
        except UsageError:
            return
        try:
            for _ in range(200):
                microphone.read(0)
        except (EOFError, UsageError):
            pass
        finally:
            microphone.close()


@cases(50, share=0.3)
@given(odd_bytes(LAYERS, head=400))
def test_layers(folder: Path, content: bytes) -> None:
    """Our own trained layers are whole, or refused in words."""
    path = folder / "odd.npz"
    path.write_bytes(content)
    with bounded():
        try:
            read_gate_layers(path)
        except SetupError as refused:
            assert str(path) in str(refused)

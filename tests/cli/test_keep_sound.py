"""`--keep-sound` from the command line to the disk and away again, through the real recogniser."""

from __future__ import annotations

import json
import wave
from pathlib import Path

import numpy as np
import pytest

from assistant.__main__ import run
from assistant.adapters.clips_wav import WavClips
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.ports import SAMPLE_RATE_HZ


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A made-up voice that says done, then asks where the job stands, in a quiet room."""
    voice = Pyttsx3Synthesiser()
    pause = np.zeros(2 * SAMPLE_RATE_HZ, np.int16)
    words = (voice.render(text, words_per_minute=150, rate_hz=SAMPLE_RATE_HZ) for text in ("done", "where am I"))
    pcm = np.concatenate([part for word in words for part in (pause, word)] + [pause])
    voice.close()
    path = tmp_path_factory.mktemp("said") / "said.wav"
    with wave.open(str(path), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(SAMPLE_RATE_HZ)
        sound.writeframes(pcm.tobytes())
    return path


def led(said: Path, data: Path, *options: str) -> list[Path]:
    """Lead a job by the voice; gives the sound files that it left."""
    heard = ("--hear", f"wav:{said}", "--engine", "embedded")
    assert run(["start", "no-start", "--job", "car", *heard, "--data", str(data), *options]) == 0
    return sorted(data.rglob("*.wav"))


def test_without_the_option_no_sound_is_left(said: Path, tmp_path: Path) -> None:
    """Nothing but the store, and no fact that names a clip."""
    data, report = tmp_path / "data", tmp_path / "r.json"
    assert led(said, data) == []
    assert run(["report", "car", "--data", str(data), "--format", "json", "--out", str(report)]) == 0
    assert ".wav" not in report.read_text(encoding="utf-8")


def test_with_it_each_fact_has_its_sound_until_the_words_are_forgotten(
    said: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One clip for done and none for a question; verify finds a changed one; forget leaves no sound behind."""
    data, report = tmp_path / "data", tmp_path / "r.json"
    (clip,) = led(said, data, "--keep-sound")
    with wave.open(str(clip)) as sound:
        assert 0.4 < sound.getnframes() / SAMPLE_RATE_HZ < 3.0
    assert run(["report", "car", "--data", str(data), "--format", "json", "--out", str(report)]) == 0
    facts = json.loads(report.read_text(encoding="utf-8"))["facts"]
    (done,) = [fact for fact in facts if fact["kind"] == "instruction-done"]
    assert done["data"]["hearing"]["clip"] == clip.name
    assert run(["jobs", "verify", "--data", str(data)]) == 0
    assert WavClips(data).keep("car", clip.name, np.ones(9_000, np.int16))
    assert run(["jobs", "verify", "--data", str(data)]) == 1
    assert "was changed" in capsys.readouterr().err
    assert run(["jobs", "forget", "car", "--words", "--data", str(data)]) == 0
    assert list(data.rglob("*.wav")) == []
    assert run(["jobs", "verify", "--data", str(data), "--against", str(report)]) == 0

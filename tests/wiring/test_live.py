"""What a session's options become: where speech goes, what listens, which screen shows."""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import ClassVar

import numpy as np
import pytest
import soundfile

from assistant.__main__ import run
from assistant.adapters import portaudio
from assistant.adapters.microphone_wav import WavMicrophone
from assistant.adapters.screen_plain import PlainScreen
from assistant.adapters.screen_terminal import TerminalScreen
from assistant.adapters.speaker_wav import WavSpeaker
from assistant.adapters.voice_silent import SilentVoice
from assistant.errors import SetupError, UsageError
from assistant.wiring import engines, sessions
from assistant.wiring.live import make_screen, make_voice, open_ears, open_speaker, read_say, tell
from assistant.wiring.voices import NATURAL


@pytest.mark.parametrize(
    ("say", "hear", "chosen"),
    [
        (None, "microphone", "speaker"),
        (None, "typed", "silent"),
        (None, "wav:a.wav", "silent"),
        ("silent", "microphone", "silent"),
        ("wav:b.wav", "typed", "wav:b.wav"),
    ],
)
def test_speech_goes_to_a_speaker_where_a_microphone_is_heard(say: str | None, hear: str, chosen: str) -> None:
    """Unless told otherwise; a typed session is silent."""
    assert read_say(say, hear) == chosen


@pytest.mark.parametrize("say", ["loud", "wav:", "wav", "speaker:1"])
def test_another_place_for_speech_is_refused(say: str) -> None:
    """The sentence names the three."""
    with pytest.raises(UsageError, match="speaker, silent or wav:FILE"):
        read_say(say, "typed")


def test_each_place_has_its_voice(tmp_path: Path) -> None:
    """Silence needs no engine; a file is whole once `say` returns."""
    assert open_speaker("silent") is None
    assert isinstance(make_voice(None, NATURAL, tell), SilentVoice)
    speaker = open_speaker(f"wav:{tmp_path / 'said.wav'}")
    assert isinstance(speaker, WavSpeaker)
    make_voice(speaker, NATURAL, tell).close()


def test_ears_are_none_where_lines_are_typed_and_a_file_where_one_is_named(tmp_path: Path) -> None:
    """The engine asked for is made; what it lacks is one sentence, and the file is closed again."""
    assert open_ears("typed", "auto", None, None) is None
    file = tmp_path / "said.wav"
    soundfile.write(file, np.zeros(16_000), 16_000)
    ears = open_ears(f"wav:{file}", "embedded", None, None)
    assert ears is not None and isinstance(ears.microphone, WavMicrophone) and ears.recogniser.name == "embedded"
    ears.recogniser.close()
    with pytest.raises(SetupError, match="models fetch"):
        open_ears(f"wav:{file}", "vosk", tmp_path, None)


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """It is."""
        return True


def test_the_whole_terminal_is_used_for_speech_and_plain_lines_elsewhere() -> None:
    """A pipe and a typed session get lines."""
    screen = make_screen(Terminal(), heard=True)
    screen.close()
    assert isinstance(screen, TerminalScreen)
    assert isinstance(make_screen(Terminal(), heard=False), PlainScreen)
    assert isinstance(make_screen(io.StringIO(), heard=True), PlainScreen)


class Device:
    """Stands for a microphone or a speaker: keeps what it was opened with."""

    named: ClassVar[dict[str, object]] = {}

    def __init__(self, *, device: object, **_wishes: object) -> None:
        self.named[type(self).__name__] = device

    def played(self, start_s: float, frames: int) -> None:
        """Nothing was."""

    def close(self) -> None:
        """Nothing to free."""


class HeardBy(Device):
    """A microphone."""


class SpokenBy(Device):
    """A speaker."""


@pytest.mark.parametrize(("given", "device"), [("3", 3), ("head", "head"), (None, None)])
@pytest.mark.parametrize("command", ["start", "resume"])
def test_a_session_takes_the_devices_that_were_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, command: str, given: str | None, device: int | str | None
) -> None:
    """Microphone and speaker, by number or by name, in both commands; the preferred ones unless told."""

    def stop(*_: object, **__: object) -> None:
        raise SetupError("far enough")

    monkeypatch.setattr(portaudio, "SounddeviceMicrophone", HeardBy)
    monkeypatch.setattr(portaudio, "SounddeviceSpeaker", SpokenBy)
    monkeypatch.setattr(sessions, "make_voice", lambda *_: SilentVoice())
    monkeypatch.setattr(engines, "make_recogniser", stop)
    named = [] if given is None else ["--microphone", given, "--speaker", given]
    typed = ["--hear", "typed", "--say", "silent", "--data", str(tmp_path)]
    if command == "resume":
        monkeypatch.setattr(sys, "stdin", io.StringIO())
        assert run(["start", "no-start", "--job", "car", *typed]) == 0
    what = "no-start" if command == "start" else "car"
    assert run([command, what, "--data", str(tmp_path), *named]) == 3
    assert Device.named == {"HeardBy": device, "SpokenBy": device}

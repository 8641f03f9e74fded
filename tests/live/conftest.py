"""A virtual microphone and speaker for one test: two null sinks of PulseAudio, heard through their monitors."""

from __future__ import annotations

import importlib
import os
import shutil
import subprocess
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray


def need(present: bool, reason: str) -> None:
    """Skip and say why where a set-up is missing; fail where the whole set-up is promised."""
    if present:
        return
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)


@dataclass(frozen=True)
class Sound:
    """Names of the virtual devices: the technician speaks into `mouth`, the program's voice is heard at `room`."""

    mouth: str
    room: str
    environment: dict[str, str]

    def speak(self, pcm: NDArray[np.int16], folder: Path, rate_hz: int = 16_000) -> None:
        """Play samples into the virtual microphone; returns when they have been played."""
        file = folder / f"{uuid.uuid4().hex}.wav"
        soundfile.write(file, pcm, rate_hz)
        subprocess.run(["paplay", f"--device={self.mouth}", str(file)], check=True, timeout=120)

    def listen(self, file: Path) -> subprocess.Popen[bytes]:
        """Begin to record what the program plays: int16, mono, 16 000 Hz, without a header. Terminate it to end."""
        form = ["--raw", "--format=s16le", "--rate=16000", "--channels=1", "--latency-msec=50"]
        return subprocess.Popen(["parecord", f"--device={self.room}.monitor", *form, str(file)])


@pytest.fixture
def sound(monkeypatch: pytest.MonkeyPatch) -> Iterator[Sound]:
    """Devices of its own, made ALSA's default for this process and those that it starts, and taken away afterwards."""
    tools = ("pactl", "paplay", "parecord")
    need(all(map(shutil.which, tools)), "PulseAudio's tools are not installed (pulseaudio-utils)")
    asked = subprocess.run(["pactl", "info"], capture_output=True, check=False, timeout=20)
    need(asked.returncode == 0, "no PulseAudio server answers; .ci/run starts one")
    need(_portaudio(), "PortAudio is not installed (libportaudio2)")
    key = uuid.uuid4().hex[:8]
    mouth, room, source = f"mouth{key}", f"room{key}", f"technician{key}"
    modules: list[str] = []
    try:
        for arguments in (
            ("module-null-sink", f"sink_name={mouth}", "rate=48000"),
            ("module-null-sink", f"sink_name={room}", "rate=48000"),
            ("module-remap-source", f"master={mouth}.monitor", f"source_name={source}"),
        ):
            modules.append(_pactl("load-module", *arguments))
        chosen = {"PULSE_SINK": room, "PULSE_SOURCE": source}
        for name, value in chosen.items():
            monkeypatch.setenv(name, value)
        yield Sound(mouth=mouth, room=room, environment={**os.environ, **chosen})
    finally:
        for module in reversed(modules):
            _pactl("unload-module", module)


def _pactl(*arguments: str) -> str:
    return subprocess.run(["pactl", *arguments], capture_output=True, text=True, check=True, timeout=20).stdout.strip()


def _portaudio() -> bool:
    try:
        importlib.import_module("sounddevice")
    except OSError:
        return False
    return True

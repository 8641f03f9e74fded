"""`hoodside devices` lists what there is and measures the microphone in decibels below full scale."""

from __future__ import annotations

import sys
from types import SimpleNamespace

import numpy as np
import pytest

from assistant.__main__ import run
from assistant.cli.devices import meter
from assistant.errors import SetupError
from assistant.hearing.level import peak_dbfs, rms_dbfs
from assistant.ports import AudioBlock

RATE_HZ = 16_000


class FakeMicrophone:
    """Gives the same tone for ever, or nothing; each read takes half a second or the block's time."""

    def __init__(self, amplitude: float | None) -> None:
        self._amplitude = amplitude
        self.now_s = 0.0

    def read(self, timeout_s: float) -> AudioBlock | None:
        """A tenth of a second of 440 Hz."""
        self.now_s += timeout_s if self._amplitude is None else 0.1
        if self._amplitude is None:
            return None
        wave = self._amplitude * np.sin(2 * np.pi * 440 * np.arange(1_600) / RATE_HZ)
        return AudioBlock(pcm=np.rint(32_767 * wave).astype(np.int16), start_s=self.now_s, lost_frames=3)

    def close(self) -> None:
        """Nothing to free."""


@pytest.mark.parametrize(("amplitude", "peak_db"), [(1.0, 0.0), (0.1, -20.0), (0.001, -60.0)])
def test_a_tone_has_its_level(amplitude: float, peak_db: float) -> None:
    """A sine's mean lies 3.01 dB below its peak, by definition of both."""
    shown: list[float] = []
    microphone = FakeMicrophone(amplitude)
    level = meter(microphone, 2.0, shown.append, now_s=lambda: microphone.now_s)
    assert level["seconds"] == 2.0 and level["lost_frames"] == 60
    assert level["peak_dbfs"] == pytest.approx(peak_db, abs=0.2)
    assert level["rms_dbfs"] == pytest.approx(peak_db - 3.01, abs=0.2)
    assert len(shown) == 20


def test_silence_and_nothing_have_the_lowest_level() -> None:
    """No sample and no sound are both the least that 16 bits can tell."""
    for pcm in (np.zeros(0, dtype=np.int16), np.zeros(100, dtype=np.int16)):
        assert rms_dbfs(pcm) == peak_dbfs(pcm) == -96.0
    assert peak_dbfs(np.array([-32_768], dtype=np.int16)) == 0.0


def test_a_dumb_microphone_is_refused() -> None:
    """A device that never gives a block does not hang the program."""
    microphone = FakeMicrophone(None)
    with pytest.raises(SetupError, match="gives no sound"):
        meter(microphone, 2.0, lambda _level: None, now_s=lambda: microphone.now_s)


def _fake_sounddevice(inputs: int) -> SimpleNamespace:
    device = {
        "name": "fake",
        "hostapi": 0,
        "max_input_channels": inputs,
        "max_output_channels": 2,
        "default_samplerate": 48_000.0,
    }
    return SimpleNamespace(
        PortAudioError=OSError,
        default=SimpleNamespace(device=(0, 0)),
        query_hostapis=lambda: ({"name": "ALSA"},),
        query_devices=lambda: [device],
    )


def test_the_list_marks_what_is_used(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Number, name, system, rate and roles, a star before the preferred ones; --seconds 0 does not listen."""
    monkeypatch.setitem(sys.modules, "sounddevice", _fake_sounddevice(1))
    assert run(["devices", "--seconds", "0"]) == 0
    assert capsys.readouterr().out == "  0  fake (ALSA, 48000 Hz): *microphone, *speaker\n"


def test_no_microphone_is_exit_code_3(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """The speakers are listed all the same, and one sentence says what to do."""
    monkeypatch.setitem(sys.modules, "sounddevice", _fake_sounddevice(0))
    assert run(["devices"]) == 3
    told = capsys.readouterr()
    assert "fake" in told.out and told.err == "hoodside: There is no microphone. Connect one, or use --hear typed.\n"

"""`hoodside devices` lists what there is and measures the microphone in decibels below full scale."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile

from assistant.__main__ import run
from assistant.cli._shop_check import LISTENING, SPEAK_NOW
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


def _recording(path: Path, noise_dbfs: float, speech: bool) -> Path:
    """Three seconds of noise, then four with three words of made-up sound at -20 dBFS."""
    random = np.random.default_rng(1)
    sound = random.standard_normal(7 * RATE_HZ) * 32_768 * 10 ** (noise_dbfs / 20)
    for at_s in (3.5, 4.5, 5.5) if speech else ():
        begin = round(at_s * RATE_HZ)
        sound[begin : begin + 5_000] += random.standard_normal(5_000) * 32_768 * 0.1
    soundfile.write(path, np.clip(sound, -32_768, 32_767).astype(np.int16), RATE_HZ)
    return path


def test_the_check_tells_how_well_a_recording_can_be_heard(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Noise, voice, ratio and what it means, in whole sentences; no sound library is touched."""
    recording = _recording(tmp_path / "shop.wav", -50.0, True)
    assert run(["devices", "--check", "--wav", str(recording)]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "The shop's noise is at minus 50 decibels.",
        "Your voice is at minus 20, 30 decibels above the noise.",
        "I hear you well.",
    ]


def test_the_check_tells_how_long_a_measured_level_may_be_borne(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Only of a level that was measured by a meter and told; hearing well and bearing it are two things."""
    recording = _recording(tmp_path / "shop.wav", -50.0, True)
    assert run(["devices", "--check", "--wav", str(recording), "--dba", "95"]) == 0
    assert capsys.readouterr().out.splitlines()[2:] == [
        "I hear you well.",
        "At 95 decibels wear hearing protection; a headset with ear muffs does both.",
        "Without it OSHA allows 4 hours a day, NIOSH 47 minutes; local rules come first.",
    ]


def test_the_check_says_no_where_nobody_can_be_heard(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit code 1, and in JSON the levels, the verdict and the advice."""
    recording = _recording(tmp_path / "loud.wav", -12.0, False)
    assert run(["devices", "--check", "--wav", str(recording), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert (found["verdict"], found["usable"], found["ratio_db"]) == ("no speech", False, None)
    assert found["noise_dbfs"] == pytest.approx(-12.0, abs=0.5) and found["advice"]


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--wav", "x.wav"], "--wav goes with --check."),
        (["--dba", "95"], "--dba goes with --check."),
        (["--check", "--dba", "300"], "range"),
        (["--check", "--seconds", "0.2"], "--check needs --seconds of 1 at least"),
        (["--check", "--wav", "none.wav"], "Cannot read the sound file 'none.wav'"),
    ],
)
def test_a_check_that_cannot_be_is_refused(options: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence, exit code 2."""
    assert run(["devices", *options]) == 2
    assert told in capsys.readouterr().err


def test_the_check_asks_aloud_and_measures_neither_its_own_words_nor_the_pause(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With --silent nothing is spoken; what is asked is shown, then the two stretches are told apart."""
    random = np.random.default_rng(1)

    class Shop(FakeMicrophone):
        """Three seconds of noise, then words over it."""

        def __init__(self, device: object = None) -> None:
            super().__init__(0.0)

        def read(self, timeout_s: float) -> AudioBlock | None:
            """A tenth of a second."""
            self.now_s += 0.1
            speaks = self.now_s > 3.05 and int(self.now_s * 2) % 2
            sound = random.standard_normal(1_600) * (3_000 if speaks else 100)
            return AudioBlock(pcm=sound.astype(np.int16), start_s=self.now_s)

    monkeypatch.setattr("assistant.cli._shop_check.SounddeviceMicrophone", Shop)
    assert run(["devices", "--check", "--silent"]) == 0
    shown = capsys.readouterr().out.splitlines()
    assert shown[:2] == [LISTENING, SPEAK_NOW] and shown[-1] == "I hear you well."

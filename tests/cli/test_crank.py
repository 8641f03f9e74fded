"""`hoodside crank`: one line a recording, whatever the recording is like."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr

from assistant.__main__ import run
from assistant.cranking.scenes import Scene, make_scene
from assistant.cranking.synthetic import CrankPlan


@pytest.fixture(scope="module")
def scene() -> Scene:
    """A made-up burst of three seconds at 200 rpm, four cylinders."""
    plan = CrankPlan(cylinders=4, rpm=200.0, burst_s=3.0)
    return make_scene(np.random.default_rng(3), plan=plan, snr_db=15.0, noise="hum")


def lines(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[dict]:
    """What the command prints, a record a line."""
    assert run(["crank", *arguments]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


@pytest.mark.parametrize("form", [(8_000, 1, "PCM_16"), (44_100, 2, "PCM_24"), (48_000, 1, "FLOAT")])
def test_any_rate_and_number_of_channels(form, scene, tmp_path: Path, capsys) -> None:
    """Telephone rate, stereo and float recordings give the same burst; the fields are those of the contract."""
    rate, channels, subtype = form
    sound = soxr.resample(scene.pcm / 32_768, 16_000, rate)
    path = tmp_path / "start.wav"
    soundfile.write(path, np.stack([sound] * channels, axis=1), rate, subtype=subtype)
    (found,) = lines(capsys, "--cylinders", "4", str(path))
    assert set(found) == {"file", "bursts", "caught", "run_s"}
    (burst,) = found["bursts"]
    assert set(burst) == {"start_s", "end_s", "pulse_hz", "rpm", "confidence"}
    assert burst["start_s"] == pytest.approx(scene.start_s, abs=0.3)
    assert burst["end_s"] == pytest.approx(scene.end_s, abs=0.3)
    assert burst["rpm"] == pytest.approx(scene.rpm, rel=0.02)
    assert (found["caught"], found["run_s"]) == (False, None)


def test_what_cannot_be_heard_is_one_sentence_and_the_others_go_on(scene, tmp_path: Path, capsys) -> None:
    """One sample, NaNs, a file that is none, a missing one: a record each, in order; the good file is heard."""
    soundfile.write(tmp_path / "one.wav", np.zeros(1), 16_000)
    soundfile.write(tmp_path / "nan.wav", np.full(16_000, np.nan, dtype=np.float32), 16_000, subtype="FLOAT")
    (tmp_path / "text.wav").write_text("not a sound")
    soundfile.write(tmp_path / "good.wav", scene.pcm, 16_000)
    names = ["one.wav", "nan.wav", "text.wav", "missing.wav", "good.wav"]
    found = lines(capsys, *(str(tmp_path / name) for name in names))
    assert [Path(one["file"]).name for one in found] == names
    assert all(one["bursts"] == [] and one["caught"] is None for one in found[:4])
    assert all(found[at]["error"].count(".") >= 1 for at in (2, 3))
    assert len(found[4]["bursts"]) == 1
    assert found[4]["bursts"][0]["rpm"] is None


def of(path: Path, sound: np.ndarray, rate: int = 16_000, subtype: str = "PCM_16") -> str:
    """A recording on disk."""
    soundfile.write(path, sound, rate, subtype=subtype)
    return str(path)


def test_damaged_loud_and_crossed_recordings_give_the_same_burst(scene, tmp_path: Path, capsys) -> None:
    """A few values that are no numbers, clipping, a constant offset, one dead channel, channels that cancel."""
    sound = scene.pcm / 32_768
    loud = sound / np.quantile(np.abs(sound), 0.999)
    spoilt = sound.astype(np.float32)
    spoilt[5_000:5_010], spoilt[6_000] = np.nan, np.inf
    files = [
        of(tmp_path / "nan.wav", spoilt, subtype="FLOAT"),
        of(tmp_path / "clipped.wav", np.clip(6 * loud, -1, 1)),
        of(tmp_path / "offset.wav", 0.3 * loud.clip(-1, 1) + 0.5),
        of(tmp_path / "left.wav", np.stack([sound, 0 * sound], axis=1)),
        of(tmp_path / "crossed.wav", np.stack([sound, -sound], axis=1)),
        of(tmp_path / "8bit.wav", 0.9 * loud.clip(-1, 1), subtype="PCM_U8"),
    ]
    for found in lines(capsys, *files):
        assert len(found["bursts"]) == 1, found
        assert found["bursts"][0]["start_s"] == pytest.approx(scene.start_s, abs=0.3)
        assert found["bursts"][0]["pulse_hz"] == pytest.approx(scene.pulse_hz, rel=0.02)


def test_no_number_at_all_no_sample_and_a_cut_file_are_one_sentence_each(scene, tmp_path: Path, capsys) -> None:
    """Each says what is wrong; silence and a single sample are no error and hold no burst."""
    whole = Path(of(tmp_path / "whole.wav", scene.pcm / 32_768))
    (tmp_path / "cut.wav").write_bytes(whole.read_bytes()[:3_000])
    files = [
        of(tmp_path / "none.wav", np.full(16_000, np.nan, dtype=np.float32), subtype="FLOAT"),
        of(tmp_path / "zero.wav", np.zeros(0)),
        str(tmp_path / "cut.wav"),
        of(tmp_path / "one.wav", np.zeros(1)),
        of(tmp_path / "silence.wav", np.zeros(160_000)),
    ]
    found = lines(capsys, *files)
    assert all(one["bursts"] == [] and one["caught"] is None for one in found)
    assert "holds no numbers" in found[0]["error"]
    assert "holds no sound" in found[1]["error"]
    assert "is cut short" in found[2]["error"]
    assert "error" not in found[3] | found[4]


def test_the_picture_shows_loudness_the_burst_and_its_speed(scene, tmp_path: Path, capsys) -> None:
    """An SVG with the burst's length and the speed in turns a minute; a folder that is not there is one sentence."""
    path = of(tmp_path / "start.wav", scene.pcm / 32_768)
    lines(capsys, "--cylinders", "4", "--picture", str(tmp_path / "start.svg"), path)
    drawn = (tmp_path / "start.svg").read_text(encoding="utf-8")
    assert drawn.startswith("<svg")
    assert "1 burst of the starter" in drawn
    assert " rpm</text>" in drawn
    assert run(["crank", "--picture", str(tmp_path / "missing" / "start.svg"), path]) == 2

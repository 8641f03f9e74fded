"""Sound clips on disk: whole, the user's alone, and no reason to stop a job."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np

from assistant.adapters.clips_wav import WavClips, as_samples
from assistant.record.clips import clip_name, clips_place

PCM = np.arange(-800, 800, dtype=np.int16)


def test_a_clip_is_read_back_as_it_was(tmp_path: Path) -> None:
    """16 kHz, mono, the very samples; nothing unfinished is left beside it."""
    assert WavClips(tmp_path).keep("grey-hatchback", "000007.wav", PCM)
    folder = tmp_path.joinpath(*clips_place("grey-hatchback"))
    assert [path.name for path in folder.iterdir()] == ["000007.wav"]
    with wave.open(str(folder / "000007.wav")) as sound:
        assert (sound.getframerate(), sound.getnchannels(), sound.getsampwidth()) == (16_000, 1, 2)
        assert np.array_equal(np.frombuffer(sound.readframes(sound.getnframes()), "<i2"), PCM)


def test_a_job_may_be_called_anything_and_its_clips_stay_in_the_data_folder(tmp_path: Path) -> None:
    """Path characters lead nowhere; nobody else may read the sound."""
    data = tmp_path / "data"
    assert WavClips(data).keep("../../outside\ud800", "000001.wav", PCM)
    (clip,) = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert clip.is_relative_to(data)
    assert clip.stat().st_mode & 0o077 == 0
    for folder in (clip.parent, clip.parent.parent, data):
        assert folder.stat().st_mode & 0o077 == 0


def test_what_cannot_be_kept_is_told(tmp_path: Path) -> None:
    """Where there is a file in place of the folder the answer is no, not an error."""
    (tmp_path / "clips").write_text("in the way")
    assert not WavClips(tmp_path).keep("grey-hatchback", "000001.wav", PCM)


def test_a_clip_that_was_changed_is_found_and_one_that_is_gone_is_counted(tmp_path: Path) -> None:
    """Other samples under the same name are a fault; sound that never came along with an export is none."""
    clips, name = WavClips(tmp_path), clip_name(7, as_samples(PCM))
    assert clips.keep("grey-hatchback", name, PCM)
    assert clips.faults("grey-hatchback", [name]) == ()
    assert clips.missing("grey-hatchback", [name, "000009-0.wav"]) == 1
    assert clips.keep("grey-hatchback", name, PCM[::-1])
    assert clips.faults("grey-hatchback", [name]) == (f"the sound {name} of job 'grey-hatchback' was changed",)
    tmp_path.joinpath(*clips_place("grey-hatchback"), name).write_bytes(b"no sound at all")
    assert len(clips.faults("grey-hatchback", [name])) == 1

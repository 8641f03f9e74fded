"""The sound file as a speaker: each sound where its time puts it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.adapters.speaker_wav import WavSpeaker
from assistant.errors import UsageError


class Clock:
    """Seconds that the test sets."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        """Now."""
        return self.now


def _sound(frames: int) -> np.ndarray:
    return np.full(frames, 1_000, dtype=np.int16)


def test_without_a_clock_pieces_follow_each_other(tmp_path: Path) -> None:
    """Two pieces make one file of both, whole after each."""
    speaker = WavSpeaker(tmp_path / "said.wav")
    speaker.play(_sound(100))
    assert soundfile.info(tmp_path / "said.wav").frames == 100
    speaker.play(_sound(50))
    speaker.cut()
    assert not speaker.playing
    speaker.close()
    speaker.close()
    pcm, rate_hz = soundfile.read(tmp_path / "said.wav", dtype="int16")
    assert (rate_hz, pcm.size) == (16_000, 150) and (pcm == 1_000).all()


def test_with_a_clock_sound_stands_at_its_time(tmp_path: Path) -> None:
    """Sound asked for at two seconds begins at two seconds; the next waits for its end."""
    clock = Clock()
    speaker = WavSpeaker(tmp_path / "said.wav", now_s=clock)
    clock.now = 2.0
    speaker.play(_sound(16_000))
    assert speaker.playing
    speaker.play(_sound(8_000))
    clock.now = 3.4
    assert speaker.playing
    clock.now = 3.6
    assert not speaker.playing
    speaker.close()
    pcm, _ = soundfile.read(tmp_path / "said.wav", dtype="int16")
    assert np.flatnonzero(pcm)[[0, -1]].tolist() == [32_000, 55_999]


def test_a_cut_takes_back_what_has_not_sounded(tmp_path: Path) -> None:
    """Half of a second-long sound stays when it is cut after half a second, and the account agrees."""
    clock = Clock()
    speaker = WavSpeaker(tmp_path / "said.wav", now_s=clock)
    speaker.play(_sound(16_000))
    clock.now = 0.5
    speaker.cut()
    assert not speaker.playing
    account = speaker.played(0.0, 16_000)
    clock.now = 1.0
    speaker.play(_sound(160))
    speaker.close()
    pcm, _ = soundfile.read(tmp_path / "said.wav", dtype="int16")
    assert pcm[:8_000].all() and not pcm[8_000:16_000].any() and pcm[16_000:].all() and pcm.size == 16_160
    assert (account == pcm[:16_000]).all()


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    """The path and the reason, not a traceback."""
    with pytest.raises(UsageError, match="Cannot write the sound file"):
        WavSpeaker(tmp_path / "none" / "said.wav")


def test_what_is_hummed_over_is_softer_in_the_file(tmp_path: Path) -> None:
    """From that moment of the clock on, until it is taken back."""
    clock = Clock()
    speaker = WavSpeaker(tmp_path / "out.wav", now_s=clock)
    speaker.play(np.full(16_000 * 3, 10_000, dtype=np.int16))
    for softer in (True, False):
        clock.now += 1.0
        speaker.duck(softer)
    clock.now += 1.0
    speaker.close()
    pcm, _ = soundfile.read(tmp_path / "out.wav", dtype="int16")
    assert (pcm[:16_000] == 10_000).all()
    assert (pcm[16_100:31_900] == 3_500).all()
    assert (pcm[32_100:48_000] == 10_000).all()

"""How loud a speaker was wished: kept for each device, and never worth failing for."""

import json

import numpy as np
import pytest

from assistant.adapters.speech_habits import FILE_NAME, SpeechHabit, keep_habit, read_habit
from assistant.guide import State
from assistant.ports import AudioBlock
from assistant.wiring.speaker_habit import SpeakerHabit


def test_each_speaker_has_its_own(tmp_path):
    """What is kept for one leaves the other as it is."""
    loud, soft = SpeechHabit(volume=0.95, noise_dbfs=-32.5), SpeechHabit(volume=0.5, tones=False)
    keep_habit(tmp_path, "bench", loud)
    keep_habit(tmp_path, "headset", soft)
    assert read_habit(tmp_path, "bench") == loud
    assert read_habit(tmp_path, "headset") == soft
    assert read_habit(tmp_path, "another") is None
    assert (tmp_path / FILE_NAME).stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("text", ["", "[]", "{", '{"bench": 3}', '{"bench": {}}', '{"bench": {"volume": 7}}'])
def test_a_damaged_file_is_as_none(tmp_path, text):
    """And is made anew by the next wish."""
    (tmp_path / FILE_NAME).write_text(text, encoding="utf-8")
    assert read_habit(tmp_path, "bench") is None
    keep_habit(tmp_path, "bench", SpeechHabit(volume=0.5))
    assert read_habit(tmp_path, "bench") == SpeechHabit(volume=0.5)


def test_where_nothing_can_be_written_nothing_is_kept(tmp_path):
    """No error: the job matters more."""
    keep_habit(tmp_path / "away", "bench", SpeechHabit(volume=0.5))
    assert read_habit(tmp_path / "away", "bench") is None


def test_louder_is_kept_with_the_noise_that_it_was_chosen_in(tmp_path):
    """The next session begins as loud, and follows the noise from there; a wish about tones leaves the loudness."""
    habit = SpeakerHabit(tmp_path, None)
    assert habit.wished is None
    for number in range(40):
        habit.loudness.hear(AudioBlock(pcm=np.full(1600, 328, np.int16), start_s=number / 10), speaking=False)
    habit.keep(State(volume=0.95))
    again = SpeakerHabit(tmp_path, None)
    assert again.wished == {"volume": 0.95, "tones": True}
    kept = json.loads((tmp_path / FILE_NAME).read_text(encoding="utf-8"))["preferred"]
    assert kept["noise_dbfs"] == pytest.approx(-40.0, abs=0.1)
    again.keep(State(volume=0.95, tones=False))
    assert SpeakerHabit(tmp_path, None).wished == {"volume": 0.95, "tones": False}
    kept = json.loads((tmp_path / FILE_NAME).read_text(encoding="utf-8"))["preferred"]
    assert kept["noise_dbfs"] == pytest.approx(-40.0, abs=0.1)

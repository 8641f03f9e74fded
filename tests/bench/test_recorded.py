"""Recorded people: which of them is for what."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile

from assistant.bench.recorded import Part, digits, single_words


def test_each_recording_has_one_purpose_and_every_second_is_for_measuring(tmp_path: Path) -> None:
    """By place in the sorted names of a word: 0, 2, 4 for the phones, 6 for the trust, the odd ones for measuring."""
    (tmp_path / "commands" / "no").mkdir(parents=True)
    for place in range(16):
        sound = np.full(160, place + 1, np.int16)
        soundfile.write(tmp_path / "commands" / "no" / f"{place:02}_nohash_0.flac", sound, 16_000)
    found = {part: [int(take.speaker) for take in single_words(tmp_path, "no", part)] for part in Part}
    assert found == {
        Part.PHONES: [0, 2, 4, 8, 10, 12],
        Part.TRUST: [6, 14],
        Part.MEASURE: [1, 3, 5, 7, 9, 11, 13, 15],
    }
    assert [int(take.pcm[0]) for take in single_words(tmp_path, "no", Part.TRUST)] == [7, 15]


def test_digits_of_any_rate_come_at_ours_by_speaker_and_digit(tmp_path: Path) -> None:
    """Telephone recordings become twice as many samples."""
    (tmp_path / "digits").mkdir()
    for name in ("3-a-00", "3-a-01", "0-b-00"):
        soundfile.write(tmp_path / "digits" / f"{name}.flac", np.zeros(800, np.int16), 8_000)
    found = digits(tmp_path)
    assert {speaker: {digit: len(takes) for digit, takes in each.items()} for speaker, each in found.items()} == {
        "a": {3: 2}, "b": {0: 1},
    }  # fmt: skip
    assert len(found["a"][3][0].pcm) == 1_600

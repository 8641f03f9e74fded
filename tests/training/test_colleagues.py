"""Who talks in the background of what is learnt."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.bench.voices import Speaker
from assistant.ports import SAMPLE_RATE_HZ
from assistant.training.colleagues import SENTENCES, STRINGS, colleagues

LEARNT_HZ, MEASURED_HZ = 500.0, 2000.0


@pytest.fixture
def people(tmp_path: Path) -> Path:
    """Eight tones for words: what may be learnt from is low, what is measured with is high."""
    folder = tmp_path / "commands" / "unknown"
    folder.mkdir(parents=True)
    seconds = np.arange(SAMPLE_RATE_HZ // 2) / SAMPLE_RATE_HZ
    for place in range(8):
        tone = 0.3 * np.sin(2 * np.pi * (MEASURED_HZ if place % 2 else LEARNT_HZ) * seconds)
        soundfile.write(folder / f"{place}_nohash_0.flac", tone, SAMPLE_RATE_HZ)
    return tmp_path


def test_they_say_sentences_and_strings_of_what_may_be_learnt_from(people: Path) -> None:
    """Nothing of a recording that is measured with is among it."""
    talk = colleagues((Speaker("espeak", "en-us"),), people, np.random.default_rng(1))
    assert len(talk) == SENTENCES + STRINGS and min(map(len, talk)) > SAMPLE_RATE_HZ // 2
    strings = np.concatenate(talk[SENTENCES:])
    power = np.abs(np.fft.rfft(strings)) ** 2
    at = [round(hz * len(strings) / SAMPLE_RATE_HZ) for hz in (LEARNT_HZ, MEASURED_HZ)]
    low, high = (power[place - 200 : place + 200].sum() for place in at)
    assert low > 100 * high


@pytest.mark.parametrize("learns", ["gate_training", "second", "stop_training", "phone_sounds", "starter_training"])
def test_recorded_announcements_are_not_learnt_over(learns: str) -> None:
    """They are under a share-alike licence: for measuring."""
    assert "announcements" not in vars(import_module(f"assistant.training.{learns}"))

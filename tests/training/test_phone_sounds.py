"""What the phone layers learn from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.hearing.phones import numbered
from assistant.training.phone_sounds import Recipe, heard_phrases
from assistant.training.phone_throats import by_telephone

RECIPE = Recipe(phrases=("no spark",), talk=(), varied=1.0, seed=3)


def test_the_same_seed_makes_the_same_and_another_other_speech() -> None:
    """What ships can be made again, but for the breath that eSpeak NG draws anew each time."""
    once, again = (list(heard_phrases(RECIPE, count=2)) for _ in range(2))
    assert [said for _, said in once] == [said for _, said in again]
    assert [sound.shape for sound, _ in once] == [sound.shape for sound, _ in again]
    other = Recipe(phrases=RECIPE.phrases, talk=(), varied=1.0, seed=4)
    assert [said for _, said in heard_phrases(other, count=2)] != [said for _, said in once]


def test_only_recordings_that_may_be_learnt_from_are_read(tmp_path: Path) -> None:
    """Those for measuring and for the trust are broken here, and nobody notices."""
    folder = tmp_path / "commands" / "stop"
    folder.mkdir(parents=True)
    random = np.random.default_rng(1)
    for place in range(8):
        path = folder / f"{place}_nohash_0.flac"
        if place in (0, 2, 4):
            soundfile.write(path, (random.standard_normal(8_000) * 3_000).astype(np.int16), 16_000)
        else:
            path.write_bytes(b"no sound")
    recipe = Recipe(phrases=("no spark",), talk=(), varied=0.0, people=tmp_path, seed=3, shares=(1.0, 0.0))
    stop = numbered(["S", "T", "AA1", "P"])
    for sound, said in heard_phrases(recipe, count=2):
        assert said in (stop, stop * 2, stop * 3)
        assert sound.shape[1] == 288


@pytest.mark.parametrize(("hz", "kept"), [(1_000, True), (5_000, False)])
def test_a_telephone_passes_nothing_above_four_kilohertz(hz: int, kept: bool) -> None:
    """Half of the sample rate that telephones have."""
    tone = (8_000 * np.sin(2 * np.pi * hz * np.arange(16_000) / 16_000)).astype(np.int16)
    level = float(np.sqrt((by_telephone(tone).astype(float) ** 2).mean()))
    assert (level > 5_000) == kept
    assert (level < 300) != kept

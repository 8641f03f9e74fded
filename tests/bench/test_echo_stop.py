"""The scenes in which somebody speaks over our own voice."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.bench.echo_stop import BEFORE_S, LEVELS_DBFS, SHOP, Case, Said, scenes, weakened
from assistant.ports import SAMPLE_RATE_HZ


def hiss(seed: int, seconds: float, level: float = 3_000.0) -> np.ndarray:
    """Noise in place of speech: int16."""
    return (level * np.random.default_rng(seed).standard_normal(int(seconds * SAMPLE_RATE_HZ))).astype(np.int16)


OWN = [hiss(1, 8.0), hiss(2, 7.0), hiss(3, 2.0)]
SAID = [Said(words="stop", who="one", pcm=hiss(4, 0.4)), Said(words="pause", who="other", pcm=hiss(5, 0.5))]


@pytest.mark.parametrize("snr_db", [15.0, 9.0])
def test_the_word_stands_over_the_noise_as_said(snr_db: float) -> None:
    """Measured on the scene itself, before we speak and in the word."""
    case = Case(echo_db=None, snr_db=snr_db, noises=("fan",))
    for number, scene in enumerate(scenes(case, OWN, SAID, count=4, seed=1)):
        word = (scene.heard[scene.begins : scene.ends].astype(float) ** 2).mean()
        noise = (scene.heard[: int(BEFORE_S * SAMPLE_RATE_HZ)].astype(float) ** 2).mean()
        assert 10 * np.log10(word / noise - 1) == pytest.approx(snr_db, abs=1.5)
        assert 10 * np.log10(word / 32_768**2) == pytest.approx(LEVELS_DBFS[number % 2], abs=1.0)


def test_every_case_meets_the_same_words_at_the_same_places() -> None:
    """So that only the canceller's work tells cases apart; all noises of the shop come in turn."""
    quiet, loud = (
        list(scenes(Case(echo_db=echo_db, snr_db=snr_db), OWN, SAID, count=6, seed=2))
        for echo_db, snr_db in ((None, 40.0), (-6.0, 9.0))
    )
    assert [(each.said.who, each.begins, each.noise) for each in quiet] == [
        (each.said.who, each.begins, each.noise) for each in loud
    ]
    assert {each.noise for each in quiet} == set(SHOP)


def test_over_a_headset_nothing_gets_quieter_and_a_loud_speaker_does() -> None:
    """The figures of the bench tell the two apart."""
    headset, speaker = (
        weakened(list(scenes(Case(echo_db=echo_db, snr_db=15.0, noises=("fan",)), OWN, SAID, count=2, seed=3)))
        for echo_db in (None, 6.0)
    )
    assert abs(headset["word_db"]) < 1.0
    assert abs(headset["erle_db"]) < 3.0
    assert speaker["erle_db"] > 10.0

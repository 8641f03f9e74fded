"""How well a technician can be heard: the ratio found is the one that was mixed, and the advice fits it."""

import numpy as np
import pytest

from assistant.english.shop_check import ATTENTION, CLOSER, HEADSET, TURN_DOWN, TURN_UP
from assistant.hearing.level import FULL_SCALE
from assistant.hearing.shop import Verdict, check_shop

RATE_HZ = 16_000


def noise(dbfs, seconds, seed=1):
    """White noise of a mean level."""
    return np.random.default_rng(seed).standard_normal(int(seconds * RATE_HZ)) * FULL_SCALE * 10 ** (dbfs / 20)


def words(dbfs, seconds=4, seed=2):
    """Three bursts of a third of a second, of that mean level while they sound."""
    sound = np.zeros(int(seconds * RATE_HZ))
    for at in (0.5, 1.5, 2.5):
        begin = int(at * RATE_HZ)
        sound[begin : begin + RATE_HZ // 3] = noise(dbfs, 1, seed)[: RATE_HZ // 3]
    return sound


def samples(sound):
    """int16."""
    return np.clip(sound, -32_768, 32_767).astype(np.int16)


def checked(noise_dbfs, speech_dbfs):
    """The check of steady noise and words over it."""
    shop = samples(noise(noise_dbfs, 3))
    spoken = samples(noise(noise_dbfs, 4, seed=3) + words(speech_dbfs))
    return check_shop(shop, spoken)


@pytest.mark.parametrize("ratio_db", [20, 15, 12, 9, 8])
def test_the_ratio_found_is_the_one_mixed(ratio_db):
    """Mean power of the words over mean power of the noise, within one decibel."""
    found = checked(-45, -45 + ratio_db)
    assert found.ratio_db == pytest.approx(ratio_db, abs=1.0)
    assert found.noise_dbfs == pytest.approx(-45, abs=0.3)
    assert found.speech_dbfs == pytest.approx(-45 + ratio_db, abs=1.0)


@pytest.mark.parametrize(
    ("ratio_db", "verdict", "advice"),
    [(25, Verdict.GOOD, ()), (12, Verdict.FAIR, (CLOSER,)), (7.5, Verdict.POOR, (CLOSER, HEADSET))],
)
def test_the_advice_fits_the_ratio(ratio_db, verdict, advice):
    """Well heard needs nothing; else closer, and at last a headset."""
    found = checked(-45, -45 + ratio_db)
    assert (found.verdict, found.advice) == (verdict, advice)
    assert found.usable == (verdict is not Verdict.POOR)


def test_a_voice_under_the_noise_is_not_taken_for_speech():
    """Nobody is told that all is well where nothing rose above the noise."""
    found = checked(-30, -40)
    assert found.verdict is Verdict.NO_SPEECH and found.ratio_db is None and not found.usable
    assert "I did not hear you speak over it." in found.sentences()


def test_a_knock_is_no_speech():
    """A twentieth of a second of noise is no word."""
    spoken = noise(-60, 4, seed=3)
    spoken[RATE_HZ : RATE_HZ + RATE_HZ // 20] += noise(-20, 1)[: RATE_HZ // 20]
    assert check_shop(samples(noise(-60, 3)), samples(spoken)).verdict is Verdict.NO_SPEECH


def test_a_muted_microphone_is_told_apart():
    """Plain zeros are no quiet shop."""
    found = check_shop(np.zeros(RATE_HZ, np.int16), np.zeros(RATE_HZ, np.int16))
    assert found.verdict is Verdict.DEAD
    assert found.sentences()[0] == "The microphone gives only silence."


def test_clipped_and_faint_sound_get_their_advice():
    """The level control is named where it is the trouble."""
    assert TURN_DOWN in checked(-40, -2).advice
    assert TURN_UP in checked(-80, -60).advice


def test_sounds_that_come_and_go_ask_for_an_attention_word():
    """A radio or a tool that starts and stops, loud enough to be speech."""
    shop = noise(-60, 3)
    shop[RATE_HZ : RATE_HZ + RATE_HZ // 2] += noise(-30, 1)[: RATE_HZ // 2]
    found = check_shop(samples(shop), samples(noise(-60, 4, seed=3) + words(-15)))
    assert found.restless and ATTENTION in found.advice

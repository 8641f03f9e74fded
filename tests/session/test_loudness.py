"""Our voice follows the noise of the shop half way, within bounds, and goes softer where somebody hums into it."""

import numpy as np
import pytest

from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.session.loudness import LOUDEST_DB, SOFTEST_DB, Loudness
from tests.session.fakes import TellingRecogniser
from tests.session.live_shop import Shop

BLOCK_S = 0.1


def hear(loudness, level_dbfs, seconds, *, speaking=False, from_s=0.0):
    """So many seconds of noise; returns when they end."""
    random = np.random.default_rng(1)
    for _ in range(round(seconds / BLOCK_S)):
        noise = random.standard_normal(round(BLOCK_S * SAMPLE_RATE_HZ)) * 32_768 * 10 ** (level_dbfs / 20)
        loudness.hear(AudioBlock(pcm=noise.astype(np.int16), start_s=from_s), speaking=speaking)
        from_s += BLOCK_S
    return from_s


def test_what_is_heard_first_is_the_noise_that_the_volume_is_for():
    """Nothing is added for it, however loud."""
    loudness = Loudness()
    hear(loudness, -30.0, 10.0)
    assert loudness.lift_db == 0.0
    assert loudness.noise_dbfs == pytest.approx(-30.0, abs=0.5)


@pytest.mark.parametrize(("noise", "lift"), [(-40.0, 5.0), (-44.0, 3.0), (-56.0, -3.0), (-20.0, LOUDEST_DB)])
def test_the_voice_follows_half_way_within_bounds(noise, lift):
    """Five decibels for ten; at night softer, never past the bounds."""
    loudness = Loudness()
    end_s = hear(loudness, -50.0, 10.0)
    hear(loudness, noise, 10.0, from_s=end_s)
    assert loudness.lift_db == pytest.approx(lift, abs=1.0)
    assert SOFTEST_DB <= loudness.lift_db <= LOUDEST_DB


def test_our_own_voice_and_its_ring_are_no_noise():
    """What sounds while we speak, and shortly after, is not counted."""
    loudness = Loudness()
    end_s = hear(loudness, -50.0, 10.0)
    end_s = hear(loudness, -15.0, 10.0, speaking=True, from_s=end_s)
    hear(loudness, -15.0, 0.4, from_s=end_s)
    assert loudness.noise_dbfs == pytest.approx(-50.0, abs=0.5)
    assert loudness.lift_db == 0.0


def test_a_blow_or_a_word_in_the_noise_does_not_count():
    """The median of what lies between sentences."""
    loudness = Loudness()
    end_s = hear(loudness, -50.0, 8.0)
    hear(loudness, -10.0, 1.5, from_s=end_s)
    assert loudness.lift_db == 0.0


def test_a_volume_chosen_in_noise_is_for_that_noise():
    """What was added is part of what was heard when it was chosen; from then on it is followed from there."""
    loudness = Loudness(-50.0)
    end_s = hear(loudness, -40.0, 10.0)
    assert loudness.lift_db == pytest.approx(5.0, abs=1.0)
    assert loudness.choose() == pytest.approx(-40.0, abs=0.5)
    hear(loudness, -40.0, 10.0, from_s=end_s)
    assert loudness.lift_db == 0.0


def test_a_muted_microphone_tells_nothing_of_the_noise():
    """Zeros are no quiet shop."""
    loudness = Loudness()
    loudness.hear(AudioBlock(pcm=np.zeros(16_000, np.int16), start_s=0.0), speaking=False)
    assert loudness.noise_dbfs is None


def test_the_loop_lifts_the_voice_when_the_noise_rises(library):
    """Between two sentences of ours."""
    shop = Shop(library, loudness=Loudness())
    shop.fall_silent()
    shop.pass_blocks(40)
    assert shop.voice.lift_db == 0.0
    shop.microphone.level = 1000
    shop.pass_blocks(100)
    assert shop.voice.lift_db == LOUDEST_DB


def test_a_hum_over_our_voice_makes_it_softer_and_stops_nothing(library):
    """And as loud as before once it is over; in our silence nothing is to be made softer."""
    shop = Shop(library, recogniser=TellingRecogniser)
    assert shop.voice.speaking
    shop.recogniser.hears_voice = True
    shop.pass_blocks(2)
    assert shop.voice.ducks == [True] and shop.voice.cuts == 0 and shop.voice.speaking
    shop.recogniser.hears_voice = False
    shop.pass_blocks(1)
    assert shop.voice.ducks == [True, False]
    shop.fall_silent()
    shop.recogniser.hears_voice = True
    shop.pass_blocks(2)
    assert shop.voice.ducks == [True, False]

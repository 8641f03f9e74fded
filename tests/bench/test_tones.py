"""The tones that stand for words: told from each other and from shop noise, and far from those that time an action."""

import numpy as np
import pytest

from assistant.bench.noises import NOISES
from assistant.bench.tones import TIMED, all_tones, measure
from assistant.language.signals import TONES, Signal
from assistant.language.speech import Tone

COUNT = 4


@pytest.mark.parametrize("noise", sorted(NOISES))
def test_each_tone_is_told_from_every_other_over_noise_as_loud_as_itself(noise):
    """By matched filters that take one in a hundred pieces of noise alone for a tone, at most."""
    told = measure(noise, 0.0, COUNT, np.random.default_rng(3))
    assert {each.tone for each in told} == set(all_tones())
    assert sum(each.another for each in told) == 0
    assert sum(each.right for each in told) >= 0.97 * COUNT * len(told)


def test_a_tone_far_below_the_noise_is_not_told():
    """The measure can fail: 30 dB below a fan hardly any is."""
    told = measure("fan", -30.0, COUNT, np.random.default_rng(3))
    assert sum(each.right for each in told) < 0.3 * COUNT * len(told)


@pytest.mark.parametrize("signal", Signal)
def test_a_tone_that_stands_for_words_is_no_tone_that_times(signal):
    """Softer, shorter, at other pitches, and where old ears still hear."""
    timed = [each for notes in TIMED.values() for each in notes if isinstance(each, Tone)]
    notes = [each for each in TONES[signal] if isinstance(each, Tone)]
    assert notes
    for note in notes:
        assert 450 <= note.hz <= 1500 and note.level <= 0.5
        assert note.seconds < min(each.seconds for each in timed)
        assert all(abs(note.hz - each.hz) > 40 for each in timed)

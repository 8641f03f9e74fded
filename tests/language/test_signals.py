"""The tones that stand for words: told apart by who hears badly, and never like those that time an action."""

import pytest

from assistant.english.lists import sentence
from assistant.language.signals import TONES, Signal
from assistant.language.speak import cut_tenths
from assistant.language.speech import Tone


def notes(signal):
    """Its tones without the pauses."""
    return [part for part in TONES[signal] if isinstance(part, Tone)]


@pytest.mark.parametrize("signal", Signal)
def test_each_lies_where_hearing_is_left_and_is_short_and_quiet(signal):
    """About 500 to 1,500 Hz, shorter and quieter than the tones of an action (0.2 s and more, at full level)."""
    for tone in notes(signal):
        assert 490.0 <= tone.hz <= 1_500.0 and 0.05 <= tone.seconds <= 0.07 and tone.level <= 0.5
    assert isinstance(TONES[signal][0], Tone) and isinstance(TONES[signal][-1], Tone)


def test_what_was_taken_missed_and_stopped_differ_in_number_or_direction():
    """Up, down, and three of one pitch; all else is a single note."""
    taken, missed, stopped = (
        [tone.hz for tone in notes(each)] for each in (Signal.TAKEN, Signal.MISSED, Signal.STOPPED)
    )
    assert taken == sorted(taken) and missed == sorted(missed, reverse=True)
    assert (len(taken), len(missed), len(stopped), len(set(stopped))) == (2, 2, 3, 1)
    assert all(len(notes(each)) == 1 for each in (Signal.HEARD, Signal.LISTENING, Signal.COUNTING))


@pytest.mark.parametrize(("value", "cut"), [(74.99, 74.9), (75.0, 75.0), (0.3, 0.3), (100 * 0.29, 29.0), (-0.05, -0.1)])
def test_a_share_is_cut_and_not_rounded(value, cut):
    """What fails a line is never told as the line; a value that only arithmetic made uneven is."""
    assert cut_tenths(value) == pytest.approx(cut)


def test_a_sentence_has_a_capital_and_one_end():
    """Nothing stays nothing."""
    said = [sentence(words) for words in (" done ", "is it?", "Stop!", "", "  ")]
    assert said == ["Done.", "Is it?", "Stop!", "", ""]

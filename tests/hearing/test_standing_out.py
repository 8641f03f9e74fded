"""What stands out of what went on before it."""

from __future__ import annotations

from assistant.hearing.standing_out import AROUND_FRAMES, standing_out

TALK, WORD, STILL = -41.0, -26.0, -75.0


def test_a_word_over_talk_is_found_with_its_beginning_and_end() -> None:
    """Whatever went on before it and goes on behind it."""
    before, word, after = [TALK] * 30, [WORD] * 10, [TALK] * 20
    assert standing_out(before + word + after) == slice(30 - AROUND_FRAMES, 40 + AROUND_FRAMES)


def test_of_one_voice_nothing_stands_out() -> None:
    """A sentence whose words differ by a few decibels, one that begins softly, a word in quiet: all are whole."""
    sentence = [-30.0, -28.0, -33.0, -27.0, -31.0, -26.0] * 8
    assert standing_out(sentence) is None
    assert standing_out([-40.0] * 5 + [-26.0] * 20 + [STILL] * 10) is None
    assert standing_out([STILL] * 9 + [WORD] * 10 + [STILL] * 6) is None


def test_a_click_does_not_stand_out() -> None:
    """One frame is no word: over a tenth of a second it is hardly louder than what is around it."""
    assert standing_out([-33.0] * 30 + [-25.0] + [-33.0] * 20) is None


def test_the_last_of_what_is_said_may_end_in_the_last_frame() -> None:
    """Nothing beyond the sound is kept."""
    found = standing_out([TALK] * 30 + [WORD] * 10)
    assert found is not None and found.stop == 40


def test_what_follows_after_a_pause_and_is_as_loud_goes_on_with_it() -> None:
    """ "No", a pause, "leave the radio on": the first word of a sentence does not stand out by itself."""
    word, pause, sentence = [WORD] * 10, [TALK] * 6, [WORD - 3.0, WORD - 9.0, WORD - 4.0] * 8
    part = standing_out([TALK] * 30 + word + pause + sentence + [TALK] * 20)
    assert part is not None and part.stop >= 30 + 10 + 6 + 24

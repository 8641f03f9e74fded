"""What goes on with other talk, and what stands alone."""

from __future__ import annotations

import math

from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.running_talk import ONSET_FRAMES, RunningTalk, goes_on

VOICE, SOFT, STILL = -26.0, -41.0, -70.0
TALK, PAUSE, WORD = [(VOICE, 0.99)] * 20, [(STILL, 0.02)] * 19, [VOICE + 2.0] * 10


def before(*parts: list[tuple[float, float]]) -> float:
    """The loudness of the talk before a word of which ONSET_FRAMES are heard already."""
    talk = RunningTalk()
    for level_db, voice in [frame for part in parts for frame in part] + [(VOICE, 0.99)] * ONSET_FRAMES:
        talk.frame(level_db, voice)
    return talk.loud_db()


def test_a_word_after_a_pause_goes_on_with_the_talk() -> None:
    """0.6 s after a sentence of the same loudness; also where the word is a little louder than the sentence."""
    assert goes_on(before(TALK, PAUSE), WORD)


def test_a_sentence_that_ends_softly_is_as_loud_as_it_was() -> None:
    """Its last half second is 9 dB softer than the word that comes 0.6 s after."""
    assert goes_on(before(TALK, [(VOICE - 7.0, 0.99)] * 15, PAUSE), WORD)


def test_a_word_after_a_long_silence_stands_alone() -> None:
    """More than a second, and a word that nothing went before at all."""
    assert not goes_on(before(TALK, PAUSE, PAUSE), WORD)
    assert not goes_on(before(PAUSE, PAUSE), WORD)
    assert before() == -math.inf


def test_a_word_over_softer_talk_is_of_somebody_nearer() -> None:
    """Colleagues in the background do not make it theirs, nor a machine that is as loud, nor a click like a voice."""
    assert not goes_on(before([(SOFT, 0.99)] * 20, PAUSE), WORD)
    assert not goes_on(before([(VOICE, 0.1)] * 20, PAUSE), WORD)
    assert not goes_on(before([(VOICE, 0.99)] * 2, PAUSE), WORD)


def test_what_answers_us_goes_on_with_nothing() -> None:
    """We spoke in between, or what was said before was done."""
    talk = RunningTalk()
    for level_db, voice in TALK:
        talk.frame(level_db, voice)
    talk.forget()
    for level_db, voice in [*PAUSE[: round(0.3 / FRAME_S)], *[(VOICE, 0.99)] * ONSET_FRAMES]:
        talk.frame(level_db, voice)
    assert not goes_on(talk.loud_db(), WORD)

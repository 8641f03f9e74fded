"""Where an utterance begins and ends."""

from __future__ import annotations

import pytest

from assistant.hearing.endpoint import FRAME_S, Endpoint, EndpointSettings, Mark


def marks(probabilities: list[float], settings: EndpointSettings | None = None) -> list[tuple[int, Mark]]:
    endpoint = Endpoint(settings or EndpointSettings())
    told = [(index, endpoint.frame(chance)) for index, chance in enumerate(probabilities)]
    return [(index, mark) for index, mark in told if mark is not Mark.NOTHING]


def test_an_utterance_begins_is_tried_and_ends() -> None:
    """Two loud frames begin it; it is tried after 0.1 s and 0.26 s of quiet and over after 0.5 s."""
    told = marks([0.0] * 5 + [0.9] * 20 + [0.0] * 40)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.TRY, Mark.TRY, Mark.ENDED]
    began, tried, tried_again, ended = (index for index, _ in told)
    assert began == 6
    assert abs((tried - 24) * FRAME_S - 0.1) <= FRAME_S
    assert abs((tried_again - 24) * FRAME_S - 0.26) <= FRAME_S
    assert abs((ended - 24) * FRAME_S - 0.5) <= FRAME_S


def test_a_short_pause_is_tried_but_does_not_end_it() -> None:
    """Speech that goes on after 0.2 s is one utterance, tried in the pause and at the end."""
    told = marks([0.9] * 10 + [0.0] * 6 + [0.9] * 10 + [0.0] * 30)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.TRY, Mark.TRY, Mark.TRY, Mark.ENDED]


def test_what_is_tried_may_be_begun_earlier() -> None:
    """A frame before each first try and before no later one; what flickers begins nothing either."""
    settings = EndpointSettings(early_s=2 * FRAME_S)
    told = marks([0.9] * 10 + [0.0] * 2 + [0.9] * 10 + ([0.02] * 4 + [0.9]) * 2 + [0.0] * 30, settings)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.EARLY, Mark.EARLY, Mark.TRY, Mark.TRY, Mark.ENDED]
    assert [index for index, _ in told][1:4] == [11, 23, 24]


def test_a_click_is_not_speech_and_silence_is_nothing() -> None:
    """One loud frame alone begins nothing."""
    assert marks([0.0] * 10 + [0.9] + [0.0] * 50) == []


def test_endless_speech_is_cut() -> None:
    """A radio that never stops is given up at the longest length, again and again."""
    told = marks([0.9] * 200, EndpointSettings(longest_s=2.0))
    assert [mark for _, mark in told][:4] == [Mark.BEGAN, Mark.ENDED] * 2


def test_a_word_of_low_probability_is_begun_tried_and_ended() -> None:
    """Three frames that are never half sure: short words in noise are like that."""
    told = marks([0.02] * 10 + [0.25, 0.28, 0.25] + [0.02] * 40)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.TRY, Mark.TRY, Mark.ENDED]


def test_what_flickers_is_not_worked_out_again_at_once() -> None:
    """After a first try a frame of speech now and then brings no other before a longer silence."""
    told = marks([0.9] * 10 + ([0.02] * 4 + [0.9]) * 3 + [0.02] * 40)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.TRY, Mark.TRY, Mark.ENDED]


def test_it_tells_whether_somebody_surely_spoke() -> None:
    """Of a weak beginning it is not sure, of three likely frames it is, until the next utterance begins."""
    endpoint = Endpoint(EndpointSettings())
    for chance in [0.3] * 5 + [0.0] * 20:
        endpoint.frame(chance)
    assert not endpoint.sure
    for chance in [0.9] * 5 + [0.0] * 20:
        endpoint.frame(chance)
    assert endpoint.sure
    assert not endpoint.speaking


def with_voices(frames: list[tuple[float, float]]) -> list[tuple[int, Mark]]:
    """Marks of frames that are (somebody speaks to us, there is a voice)."""
    endpoint = Endpoint(EndpointSettings())
    told = [(index, endpoint.frame(*frame)) for index, frame in enumerate(frames)]
    return [(index, mark) for index, mark in told if mark is not Mark.NOTHING]


def test_an_utterance_goes_on_while_there_is_a_voice() -> None:
    """Parts of a sentence that stand out less do not end it; when the voice ends it is tried and ended."""
    told = with_voices([(0.0, 0.0)] * 5 + [(0.9, 0.9), (0.9, 0.9), *[(0.1, 0.9)] * 10] * 4 + [(0.0, 0.0)] * 30)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.TRY, Mark.TRY, Mark.ENDED]
    assert told[1][0] >= 5 + 4 * 12


def test_over_talk_a_word_ends_by_itself() -> None:
    """The talk goes on behind it."""
    told = with_voices([(0.05, 0.99)] * 40 + [(0.9, 0.99)] * 9 + [(0.05, 0.99)] * 30)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.TRY, Mark.TRY, Mark.ENDED]


def test_what_hardly_stands_out_of_talk_is_let_pass() -> None:
    """It is not even tried, and does not count as an end of something said."""
    told = with_voices([(0.05, 0.99)] * 40 + [(0.4, 0.99)] * 9 + [(0.05, 0.99)] * 30)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.LET_PASS]


def test_talk_that_began_as_speech_to_us_is_let_go() -> None:
    """After a second in which nothing was said to us it is over, though the voice goes on."""
    told = with_voices([(0.0, 0.0)] * 5 + [(0.9, 0.99)] * 20 + [(0.1, 0.99)] * 60)
    assert [mark for _, mark in told] == [Mark.BEGAN, Mark.ENDED]
    assert told[1][0] < 5 + 20 + 40


def test_noise_that_hovers_without_a_voice_ends_what_was_surely_said() -> None:
    """A machine that has just begun is no voice; where nobody surely spoke it could be a weak word."""
    surely = with_voices([(0.9, 0.9)] * 8 + [(0.45, 0.02)] * 30)
    assert [mark for _, mark in surely][:4] == [Mark.BEGAN, Mark.TRY, Mark.TRY, Mark.ENDED]
    weakly = with_voices([(0.5, 0.02)] * 8 + [(0.45, 0.02)] * 30)
    assert [mark for _, mark in weakly] == [Mark.BEGAN]


def test_a_voice_far_softer_than_what_was_said_is_anothers() -> None:
    """The same voice only a little softer goes on with the sentence."""

    def ends(level_db: float) -> bool:
        endpoint = Endpoint(EndpointSettings())
        frames = [(0.95, 0.99, -20.0)] * 8 + [(0.1, 0.9, level_db)] * 20
        return Mark.ENDED in [endpoint.frame(*frame) for frame in frames]

    assert ends(-32.0)
    assert not ends(-26.0)


@pytest.mark.parametrize("chance", [0.55, 0.3])
def test_a_clear_voice_is_sure_although_the_gate_is_not(chance: float) -> None:
    """As in quiet; the same over other people's talk is not."""
    endpoint = Endpoint(EndpointSettings())
    for _ in range(6):
        endpoint.frame(chance, 0.99)
    assert endpoint.sure
    over_talk = Endpoint(EndpointSettings())
    for each in [0.05] * 40 + [chance] * 6:
        over_talk.frame(each, 0.99)
    assert not over_talk.sure


def test_talk_that_goes_on_far_softer_ends_what_was_said() -> None:
    """Though the gate takes it for speech to us; a soft syllable does not, nor is it worked out in one."""

    def marks_of(frames: list[tuple[float, float, float]]) -> list[Mark]:
        endpoint = Endpoint(EndpointSettings())
        told = [endpoint.frame(*frame) for frame in frames]
        return [mark for mark in told if mark is not Mark.NOTHING]

    loud, soft = (0.95, 0.99, -20.0), (0.95, 0.99, -32.0)
    assert marks_of([loud] * 15 + [soft] * 21)[:2] == [Mark.BEGAN, Mark.ENDED]
    assert marks_of([loud] * 15 + [soft] * 8 + [loud] * 5) == [Mark.BEGAN]
    assert marks_of([loud] * 15 + [(0.95, 0.99, -25.0)] * 40) == [Mark.BEGAN]


def test_a_word_far_louder_than_what_began_it_ends_though_the_softer_voice_goes_on() -> None:
    """Talk was taken for speech to us, then we are spoken to 14 dB louder, and the talk goes on."""

    def ended_after(word_db: float) -> int | None:
        endpoint = Endpoint(EndpointSettings())
        frames = [(0.9, 0.99, -40.0)] * 80 + [(0.95, 0.99, word_db)] * 10 + [(0.9, 0.99, -40.0)] * 60
        told = [endpoint.frame(*frame) for frame in frames]
        return told.index(Mark.ENDED) - 90 if Mark.ENDED in told else None

    after = ended_after(-26.0)
    assert after is not None and after * FRAME_S < 0.75
    assert ended_after(-36.0) is None

"""What was made of the sound so far, and how long nothing was said since."""

from __future__ import annotations

from assistant.adapters.recogniser_embedded.tried import Tried, waits_for
from assistant.hearing.endpoint import FRAME_S
from assistant.language.model import Heard
from assistant.language.stakes import Tail


def tried(words: str | None, frames: int, *, clear: bool = True, quiet_frames: int = 3) -> Tried:
    """Looked at in a silence of `quiet_frames`."""
    return Tried(
        heard=Heard(words=words, confidence=0.98), frames=frames, quiet_s=quiet_frames * FRAME_S, clear=clear,
        after_s=0.672, said_frames=frames - quiet_frames,
    )  # fmt: skip


def test_noise_that_flickers_behind_a_word_holds_up_no_answer() -> None:
    """The same word, clear in both looks: what came between was nothing said, so the silence counts from its end."""
    again = tried("yes", 60).after(tried("yes", 45))
    assert again.silence_s(63) == (63 - 42) * FRAME_S


def test_what_was_not_clear_or_is_another_word_is_waited_for_anew() -> None:
    """More may have been said in between."""
    for before in (tried("no", 45), tried("yes", 45, clear=False), tried(None, 45, clear=False)):
        assert tried("yes", 60).after(before).silence_s(63) == 6 * FRAME_S
    assert tried("yes", 60, clear=False).after(tried("yes", 45)).silence_s(63) == 6 * FRAME_S


def test_it_holds_until_something_is_said() -> None:
    """As long as the silence grows with the sound."""
    assert tried("yes", 60).holds(63, 6 * FRAME_S)
    assert not tried("yes", 60).holds(66, 2 * FRAME_S)


def test_what_is_not_clear_yet_is_left_to_a_later_look() -> None:
    """Nothing was written freely of it then; what is clear, or was silent for long, is whole."""
    assert not tried("yes", 60, clear=False).whole
    assert tried("yes", 60).whole
    assert tried(None, 60, clear=False, quiet_frames=8).whole


def test_a_doubtful_command_waits_until_nothing_more_is_said() -> None:
    """What talk begins with is taken for one; a sure one, a stop, and an answer that waits for a yes are as soon
    as ever."""
    assert waits_for(Tail.SHORT, 0.61, at_once=True) is Tail.WHOLE
    assert waits_for(Tail.SHORT, 0.95, at_once=True) is Tail.SHORT
    assert waits_for(Tail.NONE, 0.61, at_once=False) is Tail.NONE
    assert waits_for(Tail.SHORT, 0.61, at_once=False) is Tail.SHORT

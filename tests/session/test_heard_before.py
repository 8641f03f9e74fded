"""Words doubted twice are sure, and who is not understood again and again does not talk to us."""

from __future__ import annotations

import pytest

from assistant.guide import Mode
from assistant.language.model import TYPED, Heard
from assistant.session.heard_before import TALK_IN_A_ROW, TALK_WITHIN_S, HeardBefore
from assistant.wiring import load_libraries, shipped_procedures
from tests.guide.small import small_library
from tests.session.live_shop import Shop
from tests.session.room import Room

TALK = ("pass me the big screwdriver will you", "did you see the match on sunday", "he never came back from lunch")


@pytest.mark.parametrize(("free_text", "left"), [("", Mode.CONFIRMING), ("Not all clean.", Mode.ASKING)])
def test_twice_unsure_is_sure_unless_contradicted(free_text: str, left: Mode) -> None:
    """An answer is offered and then taken; where the network writes its opposite it is asked for again and again."""
    room = Room(small_library(), procedure="small")
    room.type("done")
    heard = Heard(words="all clean", confidence=0.3, unsure=True, free_text=free_text or None)
    room.conversation.hear(heard, 5.0)
    room.conversation.hear(heard, 8.0)
    assert room.conversation.state.mode is left
    assert not any(fact.kind == "result-logged" for fact in room.facts)


def said(began_s: float, words: str | None = None, **more: object) -> Heard:
    """Something a second long."""
    return Heard(words=words, confidence=0.95, began_s=began_s, ended_s=began_s + 1.0, engine="ears", **more)  # type: ignore[arg-type]


def after(*began_s: float) -> HeardBefore:
    """When things were said of which nothing was taken."""
    before = HeardBefore()
    for each in began_s:
        before.note(said(each), taken=False)
    return before


@pytest.mark.parametrize(
    ("began_s", "now_s", "amid"),
    [
        ((0.0, 3.0, 6.0), 9.0, True),
        ((0.0, 3.0), 6.0, False),
        ((0.0, 3.0, 3.0), 6.0, False),
        ((0.0, 3.0, 6.0), 0.9 + TALK_WITHIN_S, True),
        ((0.0, 3.0, 6.0), 1.1 + TALK_WITHIN_S, False),
    ],
)
def test_three_things_in_a_row_within_half_a_minute_are_talk(
    began_s: tuple[float, ...], now_s: float, *, amid: bool
) -> None:
    """What was told of twice is one."""
    assert len(began_s) <= TALK_IN_A_ROW
    assert after(*began_s).weigh(said(now_s, "all clean")).amid is amid


def test_what_is_taken_and_a_key_end_the_talk() -> None:
    """Both come from who works here."""
    for end in (lambda before: before.note(said(7.0), taken=True), HeardBefore.forget):
        before = after(0.0, 3.0, 6.0)
        end(before)
        assert not before.amid(said(9.0)).amid


def test_what_is_typed_goes_on_with_no_talk() -> None:
    """Nobody types beside us."""
    typed = Heard(words="all clean", confidence=1.0, engine=TYPED)
    assert not after(0.0, 0.1, 0.2).weigh(typed).amid


def test_the_same_words_twice_amid_talk_are_for_us() -> None:
    """Who says them again is not let go on saying them."""
    before = after(0.0, 3.0, 6.0)
    assert before.weigh(said(9.0, "all clean")).amid
    before.note(said(9.0), taken=False)
    assert not before.weigh(said(12.0, "all clean")).amid


def test_amid_talk_what_is_like_an_answer_is_asked_about() -> None:
    """Three things that are none of ours, one after the other; before them it is taken."""
    for talk, taken in (((), True), (TALK, False)):
        shop = Shop(load_libraries(tuple(shipped_procedures()))[1], "no-spark")
        answer = shop.conversation.expected.examples["out"][0]
        for each in talk:
            shop.fall_silent()
            shop.hear_now(None, free_text=each, confidence=0.06)
        shop.fall_silent()
        shop.hear_now(None, free_text=answer, confidence=0.06)
        pending = shop.conversation.state.pending
        assert pending is not None and pending.offered is not taken


def test_a_danger_and_a_stop_count_amid_talk() -> None:
    """Whoever calls them."""
    shop = Shop(load_libraries(tuple(shipped_procedures()))[1], "no-spark")
    for each in TALK:
        shop.fall_silent()
        shop.hear_now(None, free_text=each, confidence=0.06)
    shop.fall_silent()
    shop.hear_now("there is smoke")
    assert any("smoke" in each.lower() for each in shop.sentences[-3:])

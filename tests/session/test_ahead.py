"""What is likely said next is made ready while nobody speaks, and never changes what is said."""

from __future__ import annotations

from itertools import pairwise

import pytest

from assistant.guide import Mode
from assistant.language.breaths import breaths
from assistant.language.model import Heard
from assistant.language.speech import Sentence
from assistant.session.ahead import MOST
from tests.session.fakes import TellingRecogniser
from tests.session.live_shop import TO_THE_CRANK, Shop

BLOCKS = 40
"""Enough for all that is made ready for one question, one a block."""


def prepared(shop: Shop) -> list[str]:
    """What was made ready since this question was asked."""
    shop.fall_silent()
    shop.voice.prepared.clear()
    shop.loop._ahead._question = None
    shop.pass_blocks(BLOCKS)
    return [text for _, text in shop.voice.prepared]


def first_said(shop: Shop, words: str) -> str:
    """The first breath of what is said to these words."""
    before = len(shop.voice.said)
    shop.hear(words)
    sentences = [each.text for each in shop.voice.said[before:] if isinstance(each, Sentence)]
    return breaths(sentences[0])[0]


def words_of(shop: Shop, number: int) -> str:
    """What may be said now: what passes, a result, each in turn, what confirms it, or that it is done."""
    now = shop.conversation.expected
    if shop.conversation.state.mode is Mode.CONFIRMING:
        return "yes" if number % 3 else "no"
    if now.acknowledge:
        return now.acknowledge[0]
    return list(now.results.values())[number % len(now.results)][0] if now.results else "done"


@pytest.mark.parametrize(("procedure", "turns"), [("no-spark", 7), ("cranking-check", 6), ("fuel-supply", 5)])
def test_what_is_then_said_was_ready(library, procedure: str, turns: int) -> None:
    """Through cautions, gates, instructions, questions, a yes and a no: the very words."""
    shop = Shop(library, procedure=procedure)
    for number in range(turns):
        ready = prepared(shop)
        assert first_said(shop, words_of(shop, number)) in ready


def at_a_question(library, **more: object) -> Shop:
    """Where a lamp is asked about, in a silence of ours."""
    shop = Shop(library, procedure="no-spark", **more)
    shop.fall_silent()
    assert len(shop.conversation.expected.results) > 2
    return shop


def test_that_nothing_was_understood_is_ready_behind_the_results(library) -> None:
    """And no more than MOST for one question, each once."""
    shop = at_a_question(library)
    ready = prepared(shop)
    assert "I did not catch that." in ready and len(ready) == len(set(ready)) <= MOST


def test_nothing_is_recorded_shown_or_changed_by_it(library) -> None:
    """It only asks the guide."""
    shop = at_a_question(library)
    state, facts, said = shop.conversation.state, shop.kinds(), list(shop.voice.said)
    assert prepared(shop)
    assert (shop.conversation.state, shop.kinds(), shop.voice.said) == (state, facts, said)


def test_one_at_a_time_and_none_while_the_voice_is_busy(library) -> None:
    """Each waits until the voice takes it."""
    shop = at_a_question(library)
    ready = prepared(shop)
    assert all(after > before for (before, _), (after, _) in pairwise(shop.voice.prepared))
    shop.voice.busy = True
    assert prepared(shop) == []
    shop.voice.busy = False
    shop.pass_blocks(BLOCKS)
    assert [text for _, text in shop.voice.prepared] == ready


def test_none_while_somebody_speaks_or_we_are_late(library) -> None:
    """Hearing comes first."""
    shop = at_a_question(library, recogniser=TellingRecogniser)
    shop.recogniser.hears_voice = True
    assert prepared(shop) == []
    shop.recogniser.hears_voice = False
    shop.clock.at_s += 3.0  # blocks wait
    shop.loop.step()
    assert shop.voice.prepared == []
    shop.pass_blocks(BLOCKS)
    assert shop.voice.prepared


def test_what_is_said_to_words_that_wait_for_their_silence_is_made_ready(library) -> None:
    """Once for the same words, though somebody is still heard speaking; nothing while we are late, and it changes
    nothing."""
    shop = at_a_question(library, recogniser=TellingRecogniser)
    shop.recogniser.hears_voice = True
    assert prepared(shop) == []
    words = words_of(shop, 1)
    shop.recogniser.would_tell = Heard(words=words, confidence=0.99, engine="scripted")
    shop.clock.at_s += 3.0  # blocks wait
    shop.loop.step()
    assert shop.voice.prepared == []
    state = shop.conversation.state
    shop.pass_blocks(BLOCKS)
    assert len(shop.voice.prepared) == 1 and shop.conversation.state == state
    shop.recogniser.would_tell = None
    shop.recogniser.hears_voice = False
    assert first_said(shop, words) == shop.voice.prepared[0][1]


def test_what_who_knows_the_plan_answers_is_not_foreseen(library) -> None:
    """A question is nobody's phrase of the guide."""
    shop = at_a_question(library, recogniser=TellingRecogniser)
    shop.recogniser.would_tell = Heard(words="why is that", confidence=0.99, engine="scripted")
    shop.recogniser.hears_voice = True
    assert prepared(shop) == []


def test_none_while_an_action_is_timed(library) -> None:
    """The starter's tones come first."""
    shop = Shop(library, procedure="cranking-check")
    shop.lead_to(Mode.TIMING, *TO_THE_CRANK, "ready")
    shop.voice.stop()
    shop.voice.prepared.clear()
    shop.loop.step()
    assert shop.conversation.state.mode is Mode.TIMING and shop.voice.prepared == []


def test_a_guide_that_fails_on_what_nobody_said_ends_no_job(library, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is made ready for this question, and the job goes on."""

    def fails(*_args: object, **_more: object) -> None:
        raise KeyError("made up")

    shop = at_a_question(library)
    monkeypatch.setattr("assistant.session.ahead.advance", fails)
    assert prepared(shop) == []
    monkeypatch.undo()
    shop.hear(words_of(shop, 0))
    assert shop.conversation.state.mode is Mode.CONFIRMING

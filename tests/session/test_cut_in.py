"""Answers said over our own prompt, where that is wished for."""

import pytest

from assistant.guide import Mode
from assistant.language.model import Control, Heard
from assistant.language.speech import Sentence, Tone
from assistant.session.cut_in import heard_over, taken_over
from tests.session.live_shop import TO_THE_CRANK, Shop

OPENING = ("done", "it cranks but it will not start")


def test_an_answer_over_a_prompt_ends_it_and_is_asked_about(library):
    """Our voice is silent in the same block, and what was heard over it waits for its yes."""
    shop = Shop(library, cut_in=True)
    shop.lead_to(Mode.ASKING, *OPENING)
    assert shop.voice.speaking
    shop.hear_now("recent repair")
    assert shop.voice.cuts == 1
    assert shop.conversation.state.mode is Mode.CONFIRMING
    assert "Did you say recent repair?" in shop.sentences[-1]
    shop.hear("yes")
    assert shop.conversation.state.at.step != "changed"


def test_without_the_wish_it_is_dropped(library):
    """As it was: while we speak only stop and pause are heard."""
    shop = Shop(library)
    shop.lead_to(Mode.ASKING, *OPENING)
    shop.hear_now("recent repair")
    assert shop.voice.cuts == 0
    assert shop.conversation.state.mode is Mode.ASKING


def test_what_we_say_ourselves_is_no_answer(library):
    """Our own words come back through the microphone: what stands in the prompt is not taken over it."""
    spoken = (Sentence(text="Say recent repair, a crash or nothing changed.", kind="prompt"),)
    assert taken_over(Heard(words="recent repair", confidence=1.0), spoken) is None
    assert taken_over(Heard(words="hit a kerb", confidence=1.0), spoken).unsure
    assert taken_over(Heard(words=None, confidence=0.0), spoken) is None


@pytest.mark.parametrize("kind", ["caution", "tone"])
def test_no_answer_cuts_a_caution_a_release_or_tones(library, kind):
    """Stop and pause alone are heard over them."""
    shop = Shop(library, cut_in=True)
    shop.lead_to(Mode.ASKING, *OPENING)
    said = Tone(hz=440.0, seconds=0.5) if kind == "tone" else Sentence(text="Release the key.", kind="caution")
    now = shop.conversation.expected
    assert heard_over(now, Mode.ASKING, (said,)).controls == {Control.STOP, Control.PAUSE}
    assert not heard_over(now, Mode.ASKING, (said,)).results
    assert heard_over(now, Mode.ASKING, ()).results == now.results


def test_while_something_is_timed_a_stop_over_our_voice_is_as_easy(library):
    """Whether answers may cut in or not, the recogniser is told that an action is timed."""
    for cut_in in (True, False):
        shop = Shop(library, "cranking-check", cut_in=cut_in)
        shop.lead_to(Mode.POISED, *TO_THE_CRANK)
        shop.pass_blocks(1)
        assert shop.voice.speaking
        assert shop.recogniser.told[-1].timed
        assert not shop.recogniser.told[0].timed


@pytest.mark.parametrize("mode", [Mode.CAUTIONING, Mode.GATING, Mode.POISED, Mode.TIMING])
def test_cautions_gates_and_ready_wait_for_our_silence(library, mode):
    """Nobody acknowledges what was not told to its end."""
    shop = Shop(library, cut_in=True)
    shop.lead_to(Mode.ASKING, *OPENING)
    assert not heard_over(shop.conversation.expected, mode, ()).results

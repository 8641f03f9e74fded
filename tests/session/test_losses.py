"""What began before anybody listened is asked about: a stream that begins within a word, or begins anew."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.errors import DeviceLost
from assistant.guide import Mode
from assistant.language.model import Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.session.losses import Losses
from tests.session.live_shop import Shop

AGAIN = "If you said done, say it once more."


def block(start_s: float, *, lost_s: float = 0.0) -> AudioBlock:
    """A tenth of a second."""
    pcm = np.zeros(SAMPLE_RATE_HZ // 10, np.int16)
    return AudioBlock(pcm=pcm, start_s=start_s, lost_frames=round(lost_s * SAMPLE_RATE_HZ))


def doubted(losses: Losses, began_s: float) -> bool:
    """Whether half a second of words from then on is asked about."""
    return losses.doubted(Heard(words="done", confidence=1.0, began_s=began_s, ended_s=began_s + 0.5)).cut


@pytest.mark.parametrize(("began_s", "asks"), [(5.0, True), (5.04, True), (5.1, False), (9.0, False)])
def test_what_begins_with_the_stream_may_have_begun_before_it(began_s: float, asks: bool) -> None:
    """Wherever its seconds begin; what begins later is whole."""
    losses = Losses()
    for number in range(60):
        losses.note(block(5.0 + number / 10))
    assert doubted(losses, began_s) is asks


@pytest.mark.parametrize(("gap_s", "asks"), [(3.0, True), (0.2, False)])
def test_a_stream_that_jumps_began_anew(gap_s: float, asks: bool) -> None:
    """The device was away; a thread that woke late lost nothing."""
    losses = Losses()
    for number in range(10):
        losses.note(block(number / 10))
    losses.note(block(1.0 + gap_s))
    assert doubted(losses, 1.0 + gap_s) is asks


def test_lost_sound_right_before_the_words_belongs_to_them() -> None:
    """As within them; earlier it does not."""
    losses = Losses()
    for number in range(20):
        losses.note(block(number / 10, lost_s=0.2 if number == 10 else 0.0))
    assert doubted(losses, 1.0) and doubted(losses, 0.7) and not doubted(losses, 1.2)


def test_what_nobody_listened_to_is_lost_however_long_it_lasts() -> None:
    """One gap, so that those before it are not forgotten."""
    losses = Losses()
    for number in range(600):
        losses.note(block(number / 10))
        if 50 <= number < 500:
            losses.unheard(block(number / 10))
    assert losses.between(0.0, 60.0) == pytest.approx(45.0)
    assert doubted(losses, 50.0) and not doubted(losses, 51.0) and doubted(losses, 0.0)


@pytest.fixture
def opened(library) -> Shop:
    """A job in which nothing is said to begin with, and whose microphone has just opened."""
    shop = Shop(library)
    shop.voice.stop()
    return shop


def say(shop: Shop, words: str, began_s: float) -> None:
    """Half a second of words from then on."""
    shop.recogniser.will_hear.append(
        Heard(words=words, confidence=0.97, engine="scripted", began_s=began_s, ended_s=began_s + 0.5)
    )
    shop.loop.step()


def test_the_first_sound_of_a_stream_is_asked_about(opened) -> None:
    """However sure the words are; said once more they count."""
    step = opened.conversation.state.at.step
    say(opened, "done", 0.0)
    assert opened.conversation.state.at.step == step and AGAIN in opened.sentences
    opened.fall_silent()
    say(opened, "done", opened.now_s - 0.5)
    assert opened.conversation.state.at.step == "complaint"


@pytest.mark.parametrize("words", ["stop", "pause"])
def test_stop_is_obeyed_though_it_is_the_first_sound(opened, words) -> None:
    """A false stop costs a word, a missed one may hurt."""
    say(opened, words, 0.0)
    assert opened.conversation.state.mode is Mode.HELD


def test_the_first_sound_of_a_microphone_that_is_back_is_asked_about(library) -> None:
    """It was away for seconds, and may come back within a word."""
    shop = Shop(library)
    shop.fall_silent()
    shop.microphone.lost_reads = 20
    shop.pass_blocks(20)
    back_s = shop.now_s
    shop.pass_blocks(1)
    shop.voice.stop()
    say(shop, "done", back_s)
    assert shop.conversation.state.at.step == "rules" and AGAIN in shop.sentences


def test_the_first_sound_of_ears_made_anew_is_asked_about(library) -> None:
    """Nobody listened till then."""
    shop = Shop(library)
    shop.fall_silent()
    hear = shop.recogniser.accept

    def deaf(_block):
        raise DeviceLost("Hearing failed.", spoken="I cannot hear.")

    shop.recogniser.accept = deaf
    shop.pass_blocks(20)
    shop.recogniser.accept = hear
    began_s = shop.now_s
    shop.recogniser.will_hear.extend([None, None, None])
    shop.pass_blocks(3)
    shop.voice.stop()
    say(shop, "done", began_s)
    assert shop.conversation.state.at.step == "rules"

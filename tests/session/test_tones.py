"""Tones that stand for words: which sounds when, and that each may be left out."""

import pytest

from assistant.guide import Mode
from assistant.language.model import Control
from assistant.language.signals import TONES, Signal
from tests.session.fakes import TellingRecogniser
from tests.session.live_shop import TO_THE_CRANK, Shop

ALL = tuple(Signal)


def sounded(shop, signal):
    """How often that tone was sounded so far."""
    notes, said = list(TONES[signal]), list(shop.voice.said)
    return sum(said[at : at + len(notes)] == notes for at in range(len(said)))


def test_what_was_taken_gets_its_tone_before_the_answer(library):
    """Recorded first, then the tone, then words."""
    shop = Shop(library, tones=ALL)
    before = len(shop.voice.said)
    shop.hear("done")
    after = shop.voice.said[before:]
    notes = list(TONES[Signal.TAKEN])
    begins = after.index(notes[0])
    assert after[begins : begins + len(notes)] == notes
    assert sounded(shop, Signal.TAKEN) == 1 and sounded(shop, Signal.MISSED) == 0


def test_what_was_refused_or_missed_gets_no_tone_of_taking(library):
    """A refusal is spoken; what was not understood has a tone of its own."""
    shop = Shop(library, tones=ALL)
    shop.hear("resume")
    shop.hear(None)
    assert sounded(shop, Signal.TAKEN) == 0
    assert sounded(shop, Signal.MISSED) == 1


def test_stop_has_a_tone_of_its_own_by_voice_and_by_key(library):
    """And no other beside it."""
    shop = Shop(library, tones=ALL)
    shop.hear_now("stop")
    assert sounded(shop, Signal.STOPPED) == 1 and sounded(shop, Signal.TAKEN) == 0
    shop.hear("resume")
    shop.press(Control.STOP)
    assert sounded(shop, Signal.STOPPED) == 2


def test_when_we_have_finished_a_tone_says_that_an_answer_is_waited_for(library):
    """Once after each thing said; the tone itself is none, and everything is listened for while it sounds."""
    shop = Shop(library, tones=ALL)
    shop.fall_silent()
    shop.pass_blocks(1)
    assert sounded(shop, Signal.LISTENING) == 1
    assert shop.recogniser.told[-1].grammar != shop.recogniser.told[0].grammar
    shop.pass_blocks(30)
    assert sounded(shop, Signal.LISTENING) == 1
    shop.hear("done")
    shop.fall_silent()
    shop.pass_blocks(1)
    assert sounded(shop, Signal.LISTENING) == 2


def test_the_last_seconds_of_a_rest_and_of_a_count_in_are_counted(library):
    """Three tones; none before an ear that waits for the starter, and none while the starter turns."""
    shop = Shop(library, "cranking-check", tones=(Signal.COUNTING,))
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    assert shop.conversation.state.mode is Mode.TIMING and sounded(shop, Signal.COUNTING) == 0
    while not shop.conversation.state.timed.begun:
        shop.pass_blocks(1)
    assert sounded(shop, Signal.COUNTING) == 3
    while shop.conversation.state.mode is Mode.TIMING:
        shop.pass_blocks(1)
    assert sounded(shop, Signal.COUNTING) == 3


def test_nobody_counts_to_an_ear_that_waits_for_the_starter(library):
    """The technician turns the key when he is there; a count would send him."""
    shop = Shop(library, "cranking-check", ear=True, tones=(Signal.COUNTING,))
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    assert shop.conversation.state.timed.by == "ear"
    shop.pass_blocks(60)
    assert sounded(shop, Signal.COUNTING) == 0


def test_a_tone_bridges_from_the_end_of_speech_to_the_answer(library):
    """Sounded from within the recogniser, before it works out what was said; never over our own voice."""
    shop = Shop(library, tones=ALL, recogniser=TellingRecogniser)
    assert shop.voice.speaking
    shop.recogniser.on_pause()
    assert sounded(shop, Signal.HEARD) == 0
    shop.fall_silent()
    shop.recogniser.on_pause()
    assert sounded(shop, Signal.HEARD) == 1


@pytest.mark.parametrize("left_out", ALL)
def test_each_tone_can_be_left_out_and_the_others_stay(library, left_out):
    """From the beginning, by its name."""
    shop = Shop(library, tones=tuple(each for each in ALL if each is not left_out))
    for signal in ALL:
        shop.conversation.mouth.signal(signal)
    assert {signal for signal in ALL if sounded(shop, signal)} == set(ALL) - {left_out}


def test_by_voice_all_are_muted_and_come_back(library):
    """But for those that time an action, which no word takes away; those left out from the beginning stay out."""
    shop = Shop(library, tones=(Signal.TAKEN, Signal.MISSED))
    shop.hear("mute the tones")
    assert "No more tones." in shop.sentences
    taken = sounded(shop, Signal.TAKEN)
    shop.hear("done")
    shop.hear(None)
    assert sounded(shop, Signal.TAKEN) == taken and sounded(shop, Signal.MISSED) == 0
    shop.hear("sound the tones")
    assert "I will use tones." in shop.sentences
    shop.hear(None)
    assert sounded(shop, Signal.MISSED) == 1

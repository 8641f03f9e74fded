"""What the live loop shows, and what its keys do."""

import pytest

from assistant.errors import DeviceLost
from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.language.model import Control
from assistant.record.build import build_record
from tests.session.live_shop import TO_THE_CRANK, Shop


def test_the_screen_shows_the_count_down_and_the_level(library):
    """Five times a second the present state is drawn again, with the input level."""
    shop = Shop(library)
    shop.fall_silent()
    before = len(shop.screen.views)
    shop.pass_blocks(10)
    assert 4 <= len(shop.screen.views) - before <= 6
    assert shop.screen.views[-1].level_db == pytest.approx(-50.3, abs=0.1)


def test_a_key_does_what_its_word_does_and_the_record_says_that_it_was_a_key(library):
    """Space is "done": the step is logged and the next one asked; nothing is said to have been heard."""
    shop = Shop(library)
    shop.press(Control.DONE)
    (done,) = [fact for fact in shop.journal.facts("job") if fact.kind is FactKind.INSTRUCTION_DONE]
    assert done.data["hearing"] == {"engine": "key", "confidence": 1.0}
    assert shop.conversation.state.at.step == "complaint"
    assert shop.screen.views[-1].heard == "done"
    shop.hear("it will not start", confidence=0.8)
    assert build_record(shop.journal.entries("job"), library).engine == "scripted"


def test_a_key_never_acknowledges_a_caution_nor_passes_a_gate(library):
    """Each of the four is refused or holds the job; the caution must be answered by its phrase."""
    shop = Shop(library, "cranking-check")
    for mode, words in ((Mode.CAUTIONING, ()), (Mode.GATING, TO_THE_CRANK[:3])):
        shop.lead_to(mode, *words)
        for control in (Control.DONE, Control.YES, Control.NO):
            shop.press(control)
            assert shop.conversation.state.mode is mode
    shop.press(Control.STOP)
    assert shop.conversation.state.mode is Mode.HELD


def test_keys_are_no_dictated_words(library):
    """While the complaint is asked a key neither becomes its words nor ends it."""
    shop = Shop(library)
    shop.hear("done")
    shop.press(Control.DONE, Control.YES)
    assert shop.conversation.state.at.step == "complaint"
    assert FactKind.WORDS_KEPT not in shop.kinds()


def test_while_it_speaks_only_the_key_for_stop_is_obeyed(library):
    """As with words; the screen names that key alone."""
    shop = Shop(library)
    shop.keys.will_press.append(Control.DONE)
    shop.loop.step()
    assert shop.voice.speaking and shop.conversation.state.at.step == "rules"
    assert shop.screen.views[-1].keys == (("s", "stop"),)
    shop.keys.will_press.append(Control.STOP)
    shop.loop.step()
    assert shop.voice.cuts == 1 and shop.conversation.state.mode is Mode.HELD


def test_any_other_key_stops_us_while_we_speak_or_count_and_does_nothing_else(library):
    """A hand that falls on the keyboard cuts our voice and a timed action; in a silence such a key means nothing."""
    shop = Shop(library, "cranking-check")
    shop.press(None)
    assert shop.conversation.state.mode is Mode.CAUTIONING
    shop.hear("say again")
    assert shop.voice.speaking
    shop.keys.will_press.append(None)
    shop.loop.step()
    assert shop.voice.cuts == 1
    assert shop.conversation.state.mode is Mode.HELD
    shop.hear("resume")
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    while shop.conversation.state.mode is not Mode.TIMING:
        shop.loop.step()
    shop.keys.will_press.append(None)
    shop.loop.step()
    assert shop.conversation.state.mode is Mode.HELD


def test_the_screen_names_the_keys_that_do_something(library):
    """Done where a step is done, yes and no at a read-back, and none where there is no keyboard."""
    shop = Shop(library)
    shop.fall_silent()
    shop.pass_blocks(5)
    assert shop.screen.views[-1].keys == (("space", "done"), ("s", "stop"))
    shop.hear("end job")
    shop.fall_silent()
    shop.pass_blocks(5)
    assert shop.screen.views[-1].keys == (("y", "yes"), ("n", "no"), ("s", "stop"))
    shop.press(Control.YES)
    assert shop.conversation.ended


def test_a_lost_speaker_is_shown_beside_what_it_could_not_say(library):
    """The voice's thread finds out later than the turn; the words stay on the screen."""
    shop = Shop(library)
    shop.hear("where am i")
    said = shop.screen.views[-1].said
    shop.speaker_losses.append(DeviceLost("The speaker went away."))
    shop.loop.step()
    assert shop.screen.views[-1].said == (*said, "The speaker went away.")


def test_what_was_said_and_heard_stays_on_the_screen_until_the_next_turn(library):
    """The redraw five times a second takes neither away; the next turn does."""
    shop = Shop(library)
    shop.hear("say again")
    shop.fall_silent()
    shop.pass_blocks(30)
    shown = shop.screen.views[-1]
    assert shown.heard == "say again" and "Say done, or understood." in shown.said
    shop.hear("yes")
    shop.pass_blocks(10)
    shown = shop.screen.views[-1]
    assert shown.heard == "yes" and shown.said[0] == "There is nothing to say yes to."


def test_a_lost_microphone_stays_on_the_screen(library):
    """Who is spoken to may not have heard it."""
    shop = Shop(library)
    shop.fall_silent()
    shop.microphone.lost_reads = 2
    shop.pass_blocks(2)
    assert shop.screen.views[-1].said == ("The microphone is gone.",)
    shop.pass_blocks(20)
    assert shop.screen.views[-1].said == ("The microphone is back.",)

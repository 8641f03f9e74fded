"""On a machine that is too slow: it says so, hears everything in its order, and takes nothing for what it is not."""

import pytest

from assistant.english.live import SLOW
from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.language.model import BurstHeard, BurstStarted
from assistant.session.lag import Lag
from tests.session.live_shop import TO_THE_CRANK, Shop


def catch_up(shop):
    """Until no sound waits."""
    shop.loop.step()
    while shop.now_s - shop.microphone.heard_to_s > 0.05:
        shop.loop.step()


def said_at(shop, after_s, *words):
    """The technician speaks, so many seconds from now and then each second and a half, whatever we do."""
    for number, each in enumerate(words):
        shop.recogniser.will_hear_at(shop.microphone.heard_to_s + after_s + 1.5 * number, each)


def test_a_late_answer_is_announced_once(library):
    """Three seconds late: it says so before the answer, shows it, and does not say so again while it goes on."""
    shop = Shop(library)
    shop.fall_silent()
    shop.recogniser.takes_s = 3.0
    before = len(shop.sentences)
    shop.hear_now("where am i")
    assert shop.sentences[before] == SLOW
    assert "Step rules" in shop.sentences[before + 1]
    assert any("3 seconds behind" in each for each in shop.screen.views[-1].notices)
    shop.hear("where am i")
    catch_up(shop)
    assert shop.sentences.count(SLOW) == 1


def test_a_quick_answer_is_not_announced(library):
    """A second and a half passes without a word about it."""
    shop = Shop(library)
    shop.fall_silent()
    shop.recogniser.takes_s = 1.5
    shop.hear_now("where am i")
    assert SLOW not in shop.sentences


def test_slowness_after_a_quick_time_is_told_anew():
    """Twenty seconds in time end one slowness."""
    lag = Lag()
    told = []
    for second in range(100):
        lag.note(3.0 if second in (10, 15, 25, 60) else 0.1, float(second))
        told += [second] if lag.to_tell() else []
    assert told == [10, 60]


def test_done_five_times_in_a_row_is_answered_once(library):
    """Each takes four seconds to hear: the first counts, those said before its answer are not taken for the next
    step's, and nobody is left without a word."""
    shop = Shop(library, "cranking-check")
    shop.lead_to(Mode.ASKING, "eyes are covered")
    shop.fall_silent()
    shop.recogniser.takes_s = 4.0
    said_at(shop, 1.0, *["done"] * 5)
    shop.pass_blocks(400)
    assert shop.kinds().count(FactKind.INSTRUCTION_DONE) == 1
    assert shop.conversation.state.mode is Mode.CAUTIONING
    assert shop.sentences.count(SLOW) == 1
    assert not shop.recogniser.said


def test_an_answer_said_in_a_silence_counts_though_it_is_heard_while_we_speak(library):
    """What matters is what was to be heard when it was said."""
    shop = Shop(library)
    shop.fall_silent()
    shop.recogniser.takes_s = 3.0
    said_at(shop, 1.0, None, "done")
    shop.pass_blocks(60)
    assert shop.conversation.state.at.step == "complaint"


def test_what_was_said_over_our_voice_does_not_count_later(library):
    """Else our own prompt, heard late, would answer itself."""
    shop = Shop(library)
    shop.pass_blocks(5)
    assert shop.voice.speaking
    said_at(shop, 1.0, "done")
    shop.clock.at_s += 30.0
    assert not shop.voice.speaking
    catch_up(shop)
    assert not shop.recogniser.said
    assert shop.conversation.state.at.step == "rules"


def test_stop_counts_however_late(library):
    """It was said before something else was asked, and holds all the same."""
    shop = Shop(library)
    shop.fall_silent()
    shop.recogniser.takes_s = 4.0
    said_at(shop, 1.0, "done", "stop")
    shop.pass_blocks(120)
    assert shop.conversation.state.mode is Mode.HELD


def test_the_ear_for_the_starter_waits_while_words_are_caught_up(library):
    """Unless the starter was asked for; and the screen is drawn less often."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.fall_silent()
    shop.clock.at_s += 10.0
    before, drawn = shop.ear.blocks, len(shop.screen.views)
    shop.pass_blocks(80)
    assert shop.ear.blocks - before <= 1
    assert len(shop.screen.views) - drawn <= 3
    catch_up(shop)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.fall_silent()
    shop.clock.at_s += 10.0
    before = shop.ear.blocks
    shop.pass_blocks(80)
    assert shop.ear.blocks - before == 80


def test_a_burst_heard_late_has_its_own_time(library):
    """The starter's rest begins when it stopped, not when we came to hear that."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    shop.fall_silent()
    ended_s = shop.microphone.heard_to_s + 0.1
    shop.clock.at_s += 4.0
    shop.ear.will_tell.append(BurstStarted(ago_s=2.0))
    shop.loop.step()
    shop.ear.will_tell.append(BurstHeard(seconds=2.0, caught=False))
    shop.loop.step()
    burst = next(fact for fact in reversed(shop.journal.facts("job")) if fact.kind is FactKind.BURST_ENDED)
    assert burst.data["end_s"] == pytest.approx(ended_s, abs=0.2)

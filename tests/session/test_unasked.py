"""No burst becomes a fact where nobody asked for one; what is sure is asked about, for the starter's rest."""

import pytest

from assistant.english.live import DID_IT_TURN as QUESTION
from assistant.english.live import DID_IT_TURN_FIRST as QUESTION_FIRST
from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.language.model import BurstDropped, BurstHeard, BurstStarted
from tests.session.live_shop import TO_THE_CRANK, Shop


def burst(shop, seconds=4.0, confidence=0.97, **more):
    """The ear begins, and tells a whole burst."""
    shop.ear.will_tell.append(BurstStarted())
    shop.ear.will_tell.append(BurstHeard(seconds=seconds, confidence=confidence, **more))
    shop.pass_blocks(2)


def bursts(shop):
    """Facts of bursts."""
    return [fact for fact in shop.journal.facts("job") if fact.kind in (FactKind.BURST_BEGUN, FactKind.BURST_ENDED)]


def test_drilling_at_the_opening_step_is_no_fact(library):
    """Nothing is recorded or counted, whatever the ear makes of it; the screen shows that something was heard."""
    shop = Shop(library, ear=True)
    shop.fall_silent()
    burst(shop, confidence=0.8, caught=True, run_s=2.8)
    assert shop.screen.views[-1].notices == ("That may have been the starter. Not counted.",)
    burst(shop, confidence=0.99, caught=True, run_s=4.2)
    shop.pass_blocks(600)
    assert bursts(shop) == []
    assert shop.conversation.state.duty.bursts == 0
    assert not any("ran for" in each for each in shop.sentences)


@pytest.mark.parametrize("hold", ["stop", "pause"])
def test_twenty_minutes_of_noise_on_hold_are_silent(library, hold):
    """No burst is spoken of or recorded while the job is held."""
    shop = Shop(library, ear=True, blocks=20_000)
    shop.hear(hold)
    shop.fall_silent()
    said, kept = len(shop.sentences), len(shop.journal.facts("job"))
    for _ in range(7):
        burst(shop)
        shop.pass_blocks(1_700)
    assert len(shop.sentences) == said
    assert len(shop.journal.facts("job")) == kept


def test_idle_noise_asks_seldom(library):
    """Twenty minutes of bursts that nobody confirms bring four questions at most, and no fact."""
    shop = Shop(library, ear=True, blocks=20_000)
    shop.fall_silent()
    kept = len(shop.journal.facts("job"))
    for _ in range(40):
        burst(shop)
        shop.pass_blocks(298)
    assert 1 <= shop.sentences.count(QUESTION) <= 4
    assert len(shop.journal.facts("job")) == kept


def test_a_sure_burst_counts_after_a_yes(library):
    """Then it is a fact like any other, at its own time, and says that it was confirmed."""
    shop = Shop(library, ear=True)
    shop.fall_silent()
    burst(shop, seconds=9.0)
    ended_s = shop.now_s
    assert shop.sentences[-1] == QUESTION
    assert bursts(shop) == []
    shop.hear("yes")
    (kept,) = bursts(shop)
    assert kept.data["confirmed"] is True
    assert kept.data["end_s"] == pytest.approx(ended_s, abs=0.11)
    assert shop.conversation.state.duty.cranked_s == pytest.approx(9.0)


def test_a_doubtful_burst_is_asked_about_where_a_step_waits(library):
    """It is no fact and no longer timed until a yes; a sure one counts at once."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.fall_silent()
    burst(shop, confidence=0.6)
    assert shop.sentences[-1] == QUESTION
    assert shop.conversation.state.mode is not Mode.TIMING or not shop.conversation.state.timed.begun
    assert shop.conversation.state.duty.bursts == 0
    shop.hear("yes")
    assert shop.conversation.state.duty.bursts == 1
    assert bursts(shop)[-1].data["confirmed"] is True


def test_a_sure_burst_counts_at_once_where_a_step_waits(library):
    """Nobody is asked."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.fall_silent()
    burst(shop)
    assert shop.conversation.state.duty.bursts == 1
    assert QUESTION not in shop.sentences


def test_a_no_counts_nothing(library):
    """And the question does not come again at once."""
    shop = Shop(library, ear=True)
    shop.fall_silent()
    burst(shop)
    shop.hear("no")
    assert "Not counted." in shop.sentences
    shop.fall_silent()
    burst(shop)
    shop.pass_blocks(50)
    assert shop.sentences.count(QUESTION) == 1
    assert bursts(shop) == []


def test_a_yes_that_comes_late_is_no_answer_to_it(library):
    """Twenty seconds later a yes means what the step makes of it."""
    shop = Shop(library, ear=True)
    shop.fall_silent()
    burst(shop)
    shop.pass_blocks(230)
    shop.hear("yes")
    assert bursts(shop) == []
    assert "There is nothing to say yes to." in shop.sentences


def test_what_was_heard_on_hold_is_asked_when_the_job_goes_on(library):
    """As long as the starter has not rested from it."""
    shop = Shop(library, ear=True)
    shop.hear("pause")
    shop.fall_silent()
    burst(shop, seconds=8.0)
    shop.hear("resume")
    shop.fall_silent()
    shop.pass_blocks(2)
    assert shop.sentences[-1] == QUESTION
    shop.hear("yes")
    assert shop.conversation.state.duty.cranked_s == pytest.approx(8.0)


def test_a_question_of_the_step_comes_first(library):
    """While an answer waits for its yes, no other yes is asked for; the burst is asked about after it."""
    shop = Shop(library, "vehicle-facts", ear=True)
    shop.lead_to(Mode.CONFIRMING, "ordinary car")
    shop.fall_silent()
    burst(shop)
    shop.pass_blocks(10)
    assert QUESTION not in shop.sentences
    shop.hear("yes")
    shop.fall_silent()
    shop.pass_blocks(2)
    assert QUESTION in shop.sentences
    assert bursts(shop) == []


def test_before_the_starter_turns_on_our_word_the_question_is_put_once_more(library):
    """A sure burst that nobody answered for would else be forgotten by the starter's duty."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.GATING, *TO_THE_CRANK[:-1])
    shop.fall_silent()
    burst(shop, seconds=9.0)
    shop.fall_silent()
    shop.lead_to(Mode.POISED, TO_THE_CRANK[-1])
    shop.hear("ready")
    assert QUESTION_FIRST in shop.sentences[-2:]
    shop.hear("yes")
    shop.hear("ready")
    assert shop.conversation.state.mode is Mode.RESTING


def test_an_unanswered_question_does_not_hold_the_job_up(library):
    """Ready, said again, begins."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.GATING, *TO_THE_CRANK[:-1])
    shop.fall_silent()
    burst(shop)
    shop.fall_silent()
    shop.lead_to(Mode.POISED, TO_THE_CRANK[-1])
    shop.hear("ready")
    shop.hear("ready")
    assert shop.conversation.state.mode is Mode.TIMING


def test_the_rest_of_an_asked_burst_counts_with_it(library):
    """The ear may hear an end too soon: what goes on within a second is the same turn of the key."""
    shop = Shop(library, "cranking-check", ear=True)
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    burst(shop, seconds=2.0)
    assert len(bursts(shop)) == 2
    shop.pass_blocks(15)
    shop.ear.will_tell.append(BurstHeard(seconds=1.0, confidence=0.5))
    shop.pass_blocks(1)
    assert shop.conversation.state.duty.cranked_s == pytest.approx(3.0)
    shop.pass_blocks(50)
    shop.ear.will_tell.append(BurstHeard(seconds=1.0, confidence=0.5))
    shop.pass_blocks(1)
    assert shop.conversation.state.duty.cranked_s == pytest.approx(3.0)


def test_what_the_ear_takes_back_elsewhere_is_nothing(library):
    """Begun and dropped where nobody asked: no word, no fact."""
    shop = Shop(library, ear=True)
    shop.fall_silent()
    said = len(shop.sentences)
    shop.ear.will_tell.extend([BurstStarted(), BurstDropped()])
    shop.pass_blocks(5)
    assert len(shop.sentences) == said and bursts(shop) == []

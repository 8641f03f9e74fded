"""Nobody stands unheard: each thing said that was not understood gets its sign, and no talk makes us babble."""

import pytest

from assistant.guide import Mode
from assistant.language.signals import TONES, Signal
from assistant.language.speech import Sentence, Tone
from assistant.session.misses import Misses, Sign
from tests.session.live_shop import TO_THE_CRANK, Shop

MISS_TONE = TONES[Signal.MISSED]

CAUGHT_NOT = "I did not catch that."


def tones(shop):
    """Tones of a miss sounded so far."""
    return sum(each == MISS_TONE[0] for each in shop.voice.said)


def spoken_words(shop):
    """Words said so far."""
    return sum(len(each.split()) for each in shop.sentences)


def test_every_miss_gets_a_sign_at_once(library):
    """A tone each, in the very block that ends the utterance, and a notice on the screen; words at the first two."""
    shop = Shop(library)
    for number in range(1, 7):
        shop.fall_silent()
        shop.hear_now(None)
        assert tones(shop) == number
        assert "Not understood." in shop.screen.views[-1].notices
    assert shop.sentences.count(CAUGHT_NOT) == 1
    assert shop.conversation.state.at.step == "rules"


def test_the_notice_of_a_miss_goes_by_itself_and_when_something_is_understood(library):
    """It says what holds now."""
    shop = Shop(library)
    shop.hear(None)
    shop.pass_blocks(60)
    assert shop.screen.views[-1].notices == ()
    shop.hear(None)
    shop.hear("where am i")
    shop.pass_blocks(3)
    assert shop.screen.views[-1].notices == ()


def test_at_the_second_miss_in_a_row_every_choice_is_said(library):
    """All of them, also where they are too many to be read out each time."""
    shop = Shop(library, "vehicle-facts")
    shop.lead_to(Mode.ASKING, "ordinary car", "yes")
    assert shop.sentences[-1] == "How many cylinders?"
    shop.hear(None)
    assert shop.sentences[-2:] == [CAUGHT_NOT, "Say your answer, or ask what can I say."]
    shop.hear(None)
    assert shop.sentences[-1].startswith("Say three cylinders, four cylinders, ")
    assert shop.sentences[-1].endswith("Or say what can I say.")


def test_a_miss_after_something_understood_is_the_first_again(library):
    """The row is broken by anything that was understood."""
    shop = Shop(library)
    shop.hear(None)
    shop.hear("where am i")
    shop.hear(None)
    assert shop.sentences.count(CAUGHT_NOT) == 2


def test_a_radio_gets_its_tones_and_few_words(library):
    """Half an hour of talk, a sentence every three seconds: at most eight times in ten minutes we say anything."""
    shop = Shop(library, blocks=20_000)
    shop.fall_silent()
    before, silent_from = spoken_words(shop), shop.now_s
    heard = 0
    while shop.now_s - silent_from < 1_800:
        shop.pass_blocks(30)
        if not shop.voice.speaking:
            shop.hear_now(None)
            heard += 1
    assert tones(shop) == heard > 500
    assert spoken_words(shop) - before <= 30 * 24
    assert shop.conversation.state.at.step == "rules"


def test_talk_between_answers_is_bounded_too():
    """An answer understood begins a new row, but not a new allowance of words."""
    misses = Misses()
    signs = []
    for number in range(600):
        signs.append(misses.missed(float(number)))
        misses.understood()
    assert sum(sign is not Sign.TONE for sign in signs) == 8


def test_the_choices_come_again_but_ever_later():
    """Not before four misses more and twenty seconds; then forty, and so on."""
    misses = Misses()
    said_s = [second for second in range(0, 600, 2) if misses.missed(float(second)) is Sign.CHOICES]
    assert said_s[:4] == [2, 22, 62, 142]


def test_with_an_attention_word_talk_gets_no_sign(library):
    """What was not addressed to us is none of our business."""
    shop = Shop(library, attention="workshop")
    for _ in range(5):
        shop.hear(None)
    assert tones(shop) == 0
    assert CAUGHT_NOT not in shop.sentences
    assert all(not view.notices for view in shop.screen.views)


def test_no_sign_sounds_where_a_tone_would_begin_a_timed_action(library):
    """While "begin at the tone" waits only the screen tells of a miss."""
    shop = Shop(library, "cranking-check")
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    shop.hear(None)
    assert shop.conversation.awaits_tone
    assert tones(shop) == 0
    assert "Not understood." in shop.screen.views[-1].notices


def test_the_tone_of_a_miss_is_unlike_those_that_time(library):
    """Softer, shorter, lower than the one that begins and higher than the one that ends, and two in a row."""
    first, _, second = MISS_TONE
    assert isinstance(first, Tone) and isinstance(second, Tone)
    assert max(first.seconds, second.seconds) < 0.1 and max(first.level, second.level) < 0.5
    assert not {first.hz, second.hz} & {880.0, 440.0}


def test_while_a_sign_sounds_everything_is_listened_for(library):
    """A tone is no sentence: what is said into it counts, and the recogniser is not told to hear stop only."""
    shop = Shop(library)
    for _ in range(3):
        shop.fall_silent()
        shop.hear_now(None)
    assert shop.voice.speaking
    told = len(shop.recogniser.told)
    shop.hear_now("done")
    assert shop.conversation.state.at.step == "complaint"
    assert len(shop.recogniser.told) == told


def test_our_own_tone_in_the_microphone_is_no_miss(library):
    """Else one sign would bring the next for ever."""
    shop = Shop(library)
    for _ in range(3):
        shop.fall_silent()
        shop.hear_now(None)
    began_s = shop.now_s
    shop.pass_blocks(3)
    shop.hear(None, began_s=began_s + 0.1, ended_s=began_s + 0.3)
    assert tones(shop) == 3


def test_while_we_speak_a_miss_is_shown(library):
    """Only stop and pause count then, and the screen says so; no tone over our own words."""
    shop = Shop(library)
    shop.hear_now(None)
    assert tones(shop) == 0
    assert any("stop and pause" in each for each in shop.screen.views[-1].notices)


def lose(shop, frames):
    """The next block comes after so much lost sound."""
    shop.microphone.lost_frames = frames
    shop.pass_blocks(1)


def test_lost_sound_is_told_only_where_somebody_spoke(library):
    """Nothing is said of a loss in silence; a miss in or beside one is told as that."""
    shop = Shop(library)
    shop.fall_silent()
    said = len(shop.sentences)
    lose(shop, 8_000)
    shop.pass_blocks(50)
    assert len(shop.sentences) == said
    lose(shop, 8_000)
    shop.hear_now(None)
    assert shop.sentences[said:] == ["I missed some sound. Say it again."]
    assert "I missed some sound. Say it again." in shop.screen.views[-1].notices


def test_words_heard_across_lost_sound_are_asked_about(library):
    """A "not" may have been in it; a loss before the words changes nothing."""
    shop = Shop(library)
    shop.fall_silent()
    lose(shop, 4_000)
    shop.pass_blocks(20)
    shop.hear_now("where am i")
    shop.fall_silent()
    shop.pass_blocks(10)
    lose(shop, 4_000)
    shop.hear_now("done")
    assert shop.conversation.state.at.step == "rules"
    assert "If you said done, say it once more." in shop.sentences


@pytest.mark.parametrize(
    ("level", "after_s", "words"),
    [
        (0, 10.0, "The microphone gives no sound. Is it muted?"),
        (2, 61.0, "The microphone hardly gives any sound. Is it muted or moved?"),
    ],
)
def test_a_microphone_without_sound_is_told_of_and_told_when_it_is_back(library, level, after_s, words):
    """Zeros within ten seconds, hardly any sound after a minute; once each, shown as long as it lasts."""
    shop = Shop(library)
    shop.fall_silent()
    shop.pass_blocks(100)
    shop.microphone.level = level
    shop.pass_blocks(round(10 * after_s))
    assert shop.sentences.count(words) == 1
    assert words in shop.screen.views[-1].notices
    shop.pass_blocks(600)
    assert words in shop.screen.views[-1].notices
    shop.microphone.level = 100
    shop.pass_blocks(10)
    assert shop.screen.views[-1].notices == ()
    assert "The microphone is back." not in shop.sentences
    shop.pass_blocks(50)
    assert shop.sentences.count("The microphone is back.") == 1
    assert shop.sentences.count(words) == 1


def test_an_answer_shows_that_the_microphone_is_back(library):
    """Nothing is said over what the technician says."""
    shop = Shop(library)
    shop.microphone.level = 0
    shop.pass_blocks(200)
    shop.microphone.level = 100
    shop.pass_blocks(10)
    shop.hear("done")
    shop.pass_blocks(100)
    assert "The microphone is back." not in shop.sentences


def test_a_device_that_sends_zeros_between_words_is_not_called_muted(library):
    """Once a word came out of its silence it takes a minute of zeros."""
    shop = Shop(library)
    shop.fall_silent()
    shop.microphone.level = 0
    shop.pass_blocks(20)
    shop.microphone.level = 100
    shop.hear("where am i")
    shop.microphone.level = 0
    shop.fall_silent()
    shop.pass_blocks(400)
    assert "The microphone gives no sound. Is it muted?" not in shop.sentences
    shop.pass_blocks(250)
    assert shop.sentences.count("The microphone gives no sound. Is it muted?") == 1


def test_a_file_may_be_silent(library):
    """Nobody can unmute a recording."""
    shop = Shop(library, minds_level=False)
    shop.microphone.level = 0
    shop.pass_blocks(900)
    assert not any("microphone" in each.text for each in shop.voice.said if isinstance(each, Sentence))

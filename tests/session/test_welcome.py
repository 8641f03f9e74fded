"""What is offered before a job is open: a yes takes it, a no goes on to the next, silence takes nothing."""

import numpy as np
import pytest

from assistant.errors import DeviceLost
from assistant.language.model import Control, Heard
from assistant.language.speech import Sentence
from assistant.record.summary import Summary
from assistant.session.live import Ears
from assistant.session.welcome import NEW, Offer, Welcome, offers, spoken_answers, spoken_name, typed_answers
from tests.session.fakes import Clock, KeptScreen, ScriptedMicrophone, ScriptedRecogniser, TimedVoice

GREY = Offer(question="Go on with the grey hatchback?", job="grey-hatchback")


@pytest.mark.parametrize(
    ("job", "said"),
    [
        ("grey-hatchback", "the grey hatchback"),
        ("the van", "the van"),
        ("no-start 2031-05-01 09-00-12 ab12", "the no start job of May one"),
    ],
)
def test_a_job_is_called_as_a_person_would(job, said):
    """Hyphens are not read out, nor a time of day."""
    assert spoken_name(job) == said


def test_open_jobs_come_first_then_the_last_car_then_a_new_one():
    """The newest first, at most three; a car that is not the latest is not offered."""
    closed, going = Summary(job="closed", ended=True), [Summary(job=f"car-{number}") for number in range(5)]
    assert [each.job for each in offers(going)] == ["car-0", "car-1", "car-2", ""]
    assert [each.same_car for each in offers([closed, going[0]])] == ["", "closed", ""]
    assert [each.same_car for each in offers([going[0], closed])] == ["", ""]
    assert offers([]) == (NEW,)


def choose(offered, *typed):
    """What is taken, and what was asked, by typed lines."""
    voice, screen = TimedVoice(Clock()), KeptScreen()
    chosen = Welcome(voice=voice, screen=screen, heard=typed_answers(iter(typed))).choose(offered)
    assert [view.said[0] for view in screen.views] == [each.text for each in voice.said if isinstance(each, Sentence)]
    return chosen, [view.instruction for view in screen.views]


def test_yes_takes_no_goes_on_and_anything_else_is_asked_again():
    """Nothing is taken by a word that is no answer, nor by the end of the input."""
    asked = [GREY.question, NEW.question]
    assert choose((GREY, NEW), "yes\n") == (GREY, asked[:1])
    assert choose((GREY, NEW), "nope\n", "yes") == (NEW, asked)
    assert choose((GREY, NEW), "the blue one", "say again", "yes") == (GREY, asked[:1] * 3)
    assert choose((GREY, NEW), "no", "no") == (None, asked)
    assert choose((GREY, NEW), "stop") == (None, asked[:1])
    assert choose((GREY, NEW)) == (None, asked[:1])


def test_by_voice_only_what_is_surely_said_in_our_silence_counts():
    """Over the question only stop does; an unsure yes is asked again; zeros of a lost device are the caller's."""
    clock = Clock()
    voice, recogniser = TimedVoice(clock), ScriptedRecogniser(clock)
    microphone = ScriptedMicrophone(clock, 40)
    heard = spoken_answers(Ears(microphone=microphone, recogniser=recogniser), voice)
    voice.say((Sentence(text="Go on with the grey hatchback? Yes or no."),))
    recogniser.will_hear += [Heard(words="yes", confidence=1.0), None, None, None, None, None, None, None, None, None]
    recogniser.will_hear += [Heard(words="yes", confidence=0.5, unsure=True), Heard(words="yes", confidence=1.0)]
    assert heard() is Control.SAY_AGAIN
    assert heard() is Control.YES
    voice.say((Sentence(text="Go on with the grey hatchback? Yes or no."),))
    recogniser.will_hear.append(Heard(words="stop", confidence=1.0))
    assert heard() is Control.STOP
    assert voice.cuts == 1
    voice.stop()
    microphone.clock.at_s += 5.0  # nothing came for so long: what follows may begin within a word
    at_s = microphone.heard_to_s = microphone.clock.at_s
    recogniser.will_hear.append(Heard(words="yes", confidence=1.0, began_s=at_s, ended_s=at_s + 0.1))
    assert heard() is Control.SAY_AGAIN
    microphone.lost_reads = 1
    with pytest.raises(DeviceLost):
        heard()
    assert heard() is None  # the end of the sound
    assert np.all(microphone.level == 100)

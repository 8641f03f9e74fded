"""A loss that is asked for, told as what the gauge shows now or as what it lost."""

import pytest

from tests.guide.led import Led

CAR = {"fuel-pressure/gauge": "it fits", "system": "into the ports", "read-port": "fifty p s i"}


def at_the_loss(library):
    led = Led(library, "fuel-pressure", CAR).until("lost")
    assert led.at == "lost"
    return led


def logged(led):
    return next(fact for fact in reversed(led.facts) if fact.kind.value == "reading-logged").data


@pytest.mark.parametrize(
    ("said", "read_back", "band"),
    [
        ("forty eight p s i", "two p s i, that is from fifty p s i to forty eight p s i", "holds"),
        ("fifty p s i", "zero p s i, that is from fifty p s i to fifty p s i", "holds"),
        ("fifty two p s i", "zero p s i, that is from fifty p s i to fifty two p s i", "holds"),
        ("thirty p s i", "twenty p s i, that is from fifty p s i to thirty p s i", "at-limit"),
        ("two p s i", "two p s i, that is from fifty p s i to forty eight p s i", "holds"),
        ("it shows two p s i", "forty eight p s i, that is from fifty p s i to two p s i", "at-limit"),
        ("it lost forty p s i", "forty p s i, that is from fifty p s i to ten p s i", "at-limit"),
        ("ten p s i", "ten p s i, that is from fifty p s i to forty p s i", "at-limit"),
        ("three hundred and thirty one kilopascals", "fourteen kilopascals", "holds"),
    ],
)
def test_what_is_near_the_first_reading_is_what_the_gauge_shows(library, said, read_back, band):
    """Both figures are read back, and the loss is what is judged. Source of 5 psi: common practice, no source."""
    led = at_the_loss(library)
    led.say(said)
    assert read_back in led.state.pending.words, led.words
    assert read_back in led.words
    led.say("yes")
    assert logged(led)["band"] == band


def test_the_record_keeps_the_loss_with_both_readings(library):
    """The value is what was lost, its words name both readings."""
    led = at_the_loss(library)
    led.say("forty eight p s i")
    led.say("yes")
    assert logged(led)["value"] == pytest.approx(13.79, abs=0.01)  # 2 psi of 6.894757 kPa
    assert logged(led)["spoken"] == "two p s i, that is from fifty p s i to forty eight p s i"


def test_it_is_asked_for_a_yes_also_where_we_speak_briefly(library):
    """Only the technician knows which of the two was meant."""
    led = Led(library, "fuel-pressure", CAR, manner="brief").until("lost")
    led.say("forty eight p s i")
    assert led.state.pending is not None
    assert "wo p s i, that is from fifty p s i to forty eight p s i. Yes?" in led.words

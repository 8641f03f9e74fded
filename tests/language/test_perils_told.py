"""Who is hurt, what moves or runs on, and what smokes, told out of turn."""

import pytest

from assistant.language.model import Control, GiveControl, Heard, TellTest, Unclear
from assistant.language.perils import tells_a_fire
from assistant.language.understand import understand
from tests.language.told import TOLD


@pytest.mark.parametrize("words", ["stop it's smoking", "smoke"])
def test_who_begins_with_stop_is_heard_out(words):
    """What follows counts."""
    assert understand(Heard(words=words, confidence=1.0), TOLD).makes == ("burned",)


@pytest.mark.parametrize("words", ["stop the tea", "my hand is stuck", "wait", "hang on"])
def test_who_begins_with_stop_stops(words):
    """Whatever follows, and whoever is caught."""
    assert understand(Heard(words=words, confidence=1.0), TOLD) == GiveControl(control=Control.STOP)


@pytest.mark.parametrize(
    "words",
    [
        "my hand is stuck",
        "the fan took my glove",
        "I got a shock off it",
        "I got zapped",
        "I'm hurt",
        "he's bleeding",
        "I burned my hand",
        "I've got acid in my eye",
        "help",
        "the starter won't stop",
        "the starter keeps running after I let go",
        "the engine won't switch off",
        "it's revving by itself",
    ],
)
def test_who_is_hurt_stops(words):
    """Whoever calls out so, or has a starter that runs on, is not told that nothing was understood."""
    assert understand(Heard(words=words, confidence=1.0), TOLD) == GiveControl(control=Control.STOP)


@pytest.mark.parametrize(
    "words",
    [
        "my hand is in the belt",
        "caught my sleeve in the belt",
        "my mate is under the car",
        "I'm under the car",
        "my mate's leaning over the belt",
        "there's someone at the engine",
        "somebody is at the fan",
        "hang on the kid's leaning in",
    ],
)
def test_who_is_in_the_way_stops_until_all_are_clear(words):
    """Nothing turns or sparks before somebody has said that they are."""
    heard = understand(Heard(words=words, confidence=1.0), TOLD)
    assert isinstance(heard, TellTest) and heard.stops and heard.makes == ("somebody-near",)


@pytest.mark.parametrize(
    "words",
    [
        "the car moved",
        "it's rolling",
        "it jumped forward",
        "she's in gear",
        "it's running away",
        "the jack is slipping",
        "the car can roll",
        "I took the chocks out",
        "the handbrake is off",
        "the handbrake doesn't work",
        "the wheels aren't chocked",
        "I'm on a slope here",
        "the car is parked on a hill",
        "I've got it up on a trolley jack",
    ],
)
def test_a_car_that_moves_stops_until_it_cannot(words):
    """No starter turns before somebody has said anew that nothing can roll."""
    heard = understand(Heard(words=words, confidence=1.0), TOLD)
    assert isinstance(heard, TellTest) and heard.stops and heard.makes == ("can-roll",)


@pytest.mark.parametrize(
    "words",
    [
        "it caught",
        "it rolled over twice",
        "the needle moved",
        "nobody got hurt",
        "my hand is not stuck",
        "it is not in gear",
        "I'm stuck",
        "she's burning rich",
        "no smoke",
        "black smoke from the exhaust",
        "it is on jack stands",
        "the filter is not blocked",
        "it isn't blocked",
        "no burning smell",
        "the belt is not smoking",
    ],
)
def test_what_only_sounds_like_a_peril_stops_nothing(words):
    """An engine catches, rolls over and burns as well."""
    assert isinstance(understand(Heard(words=words, confidence=1.0), TOLD), Unclear)


@pytest.mark.parametrize(
    "words", ["the car can roll i took the chocks out", "chocks are out", "handbrake is off", "it's in gear"]
)
def test_a_car_that_can_roll_stops_everything(words):
    """The roll-away gate does not hold any more."""
    meant = understand(Heard(words=words, confidence=1.0, engine="typed"), TOLD)
    assert isinstance(meant, TellTest) and meant.stops and meant.makes == ("can-roll",)


@pytest.mark.parametrize(
    ("words", "burns"),
    [
        ("hang on there's smoke out of the fuse box", True),
        ("whoa smoke coming from under the dash", True),
        ("lamp's out but the wiring is smoking", True),
        ("twelve point four but there is smoke off the alternator", True),
        ("no smoke from the engine", False),
        ("it's not smoking from the wiring", False),
        ("blue smoke from the car's exhaust", False),
        ("white smoke out the tailpipe", False),
        ("there is a spark at the plug", False),
    ],
)
def test_smoke_from_a_part_is_known_among_other_words(words: str, burns: bool) -> None:
    """ "Hang on there's smoke out of the fuse box" was not understood, and the drain was read on."""
    assert tells_a_fire(words.split()) is burns

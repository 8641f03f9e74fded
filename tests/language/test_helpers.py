"""That a second person is here, or gone again, told whatever is asked."""

from dataclasses import replace

import pytest

from assistant.language.helpers import has_gone, is_here
from assistant.language.model import Heard, TellTest
from assistant.language.understand import understand
from tests.language.told import TOLD

HERE = [
    "my mate's here he'll crank it", "my mate's here, he'll crank it", "the apprentice can turn the key",
    "I've got a helper now", "i've got my colleague here with me", "there's two of us now", "he'll crank it for me",
    "my wife is in the driver's seat", "somebody's here to turn the key", "the lad will do the key",
    "a friend is at the key", "i have someone to crank it", "she can work the key for me", "got help now",
]  # fmt: skip
GONE = ["my mate's gone", "the apprentice has left", "I'm on my own again", "i am alone now", "my helper had to go"]
NEITHER = [
    "it cranks mate", "my mate cranked it yesterday", "the customer is here", "he'll want it back today",
    "nobody's here to crank it", "i have no helper", "my mate isn't here", "i can't crank it alone", "it's gone",
    "my mate is under the car", "he put a new starter in", "turn the key", "the key is here", "my mate's looking at it",
    "it will crank", "the starter is here", "my mate says it's the pump", "one of us", "all alone with this wreck",
    "i wish my mate was here", "if my mate was here he'd crank it", "my mate will be here tomorrow",
]  # fmt: skip


@pytest.mark.parametrize("words", HERE)
def test_a_helper_is_told(words):
    """It is so of the bay, whatever is asked."""
    told = understand(Heard(words=words, confidence=1.0), TOLD)
    assert isinstance(told, TellTest)
    assert (told.makes, told.stops) == (("helper",), False)


@pytest.mark.parametrize("words", GONE)
def test_a_helper_who_left_is_told(words):
    """Who is alone is led as before."""
    assert understand(Heard(words=words, confidence=1.0), TOLD).makes == ("alone",)


@pytest.mark.parametrize("words", NEITHER)
def test_what_tells_of_somebody_else_or_denies_it_tells_no_helper(words):
    """A mate that is spoken to, one of yesterday, and a customer at the counter turn no key."""
    said = words.lower().split()
    assert not is_here(said)
    assert not has_gone(said)


def test_who_is_asked_for_a_second_person_is_answered():
    """There it is the answer, in own words too, and no telling beside it; of a fifth writer, nothing learnt from it."""
    asked = {"there": ("second person here", "two of us"), "alone": ("i am alone", "nobody else")}
    partner = replace(TOLD, results=asked)
    said = "our kid's here he'll do the key"
    assert not isinstance(understand(Heard(words=said, confidence=1.0), partner), TellTest)
    assert isinstance(understand(Heard(words=said, confidence=1.0), TOLD), TellTest)

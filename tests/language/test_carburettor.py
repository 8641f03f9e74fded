"""That the engine has a carburettor or no computer, told whatever is asked."""

import pytest

from assistant.language.carburettor import tells_a_carburettor
from assistant.language.model import Heard, TellTest
from assistant.language.understand import understand
from tests.language.told import TOLD

HAS = [
    "it's a carb", "it's got a carburettor", "it has twin carbs", "there's no computer on it", "old carburettor car",
    "there is no engine computer", "it's a carburettor, no sensors", "it's got no injectors mate",
    "no ecu on this one",
    "old 1976 thing with a carb", "a van with twin carbs",
    "it hasn't got an ecu", "it's carburetted", "there's no computer, it's a carb", "it runs on a carb",
]  # fmt: skip
HAS_NOT = [
    "no communication", "the computer is dead", "carb cleaner", "i sprayed carb cleaner in it", "it has no carburettor",
    "it's not a carb", "no carburettor it's injected", "the injectors don't click", "no pulse at the injectors",
    "looks like a carburettor with injectors", "the computer does not answer", "reader finds no computer",
    "no reader here", "fuel drips from the carburettor", "the carb is dry", "was a carburettor once",
    "no injectors click", "no injector pulse", "i have no computer here", "i've got no computer in the shop",
]  # fmt: skip


@pytest.mark.parametrize("words", HAS)
def test_it_is_told(words):
    """What needs a computer or injectors cannot be tested on it."""
    assert tells_a_carburettor(words)
    told = understand(Heard(words=words, confidence=1.0), TOLD)
    assert isinstance(told, TellTest)
    assert told.makes == ("no-engine-computer", "no-electric-pump")


@pytest.mark.parametrize("words", HAS_NOT)
def test_a_computer_that_is_silent_and_what_lies_in_a_carburettor_tell_nothing_of_it(words):
    """Nor does a shop without a computer, nor a carburettor that is denied."""
    assert not tells_a_carburettor(words)

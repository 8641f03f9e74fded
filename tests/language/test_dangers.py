"""What is told of running fuel and of fire, out of turn."""

import pytest

from assistant.language.commands import ALWAYS
from assistant.language.dangers import FUEL_LEAK, tells_a_fuel_leak
from assistant.language.model import Control, Expected, GiveControl, Heard, TellTest
from assistant.language.understand import understand

TOLD = Expected(
    controls=ALWAYS, questions=True, supposed={"looked-over=leak": (FUEL_LEAK,)}, acknowledge=("area is clear",)
)


@pytest.mark.parametrize(
    "words",
    [
        "There's petrol leaking from the rail!",
        "hang on, there is fuel running down the engine",
        "I can see gas dripping under the car",
        "a puddle of petrol under the car",
        "the hose is leaking fuel",
        "we have a fuel leak",
        "I smell petrol, there is a puddle under the car",
        "I'll just spray it while it leaks",
    ],
)
def test_running_fuel_is_told_without_i_found(words):
    """Whatever is asked, a told leak is a fact at once, so that what could light it is not led to."""
    assert understand(Heard(words=words, confidence=1.0), TOLD) == TellTest(
        test="looked-over", result="leak", words=FUEL_LEAK
    )


@pytest.mark.parametrize(
    "words", ["no fuel leak", "no petrol leaking", "it smells of fuel", "fuel pressure", "is fuel there"]
)
def test_what_denies_or_only_smells_is_no_leak(words):
    """Only whole sentences that say it are taken."""
    assert not tells_a_fuel_leak(words.split())


@pytest.mark.parametrize("words", ["The car is on fire!", "there's a fire", "it is on fire"])
def test_a_fire_stops_everything(words):
    """Who says so is not told that nothing was understood."""
    assert understand(Heard(words=words, confidence=1.0), TOLD) == GiveControl(control=Control.STOP)

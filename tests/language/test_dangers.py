"""What is told of running fuel and of fire, out of turn."""

import pytest

from assistant.language.commands import ALWAYS
from assistant.language.dangers import FUEL_LEAK, FuelOutside, fuel_told_in, tells_a_fuel_leak
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


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("there was petrol dripping under the car and now it will not start", FuelOutside.RUNS),
        ("Customer says fuel is leaking somewhere, cranks only.", FuelOutside.RUNS),
        ("it left a puddle of gas on the drive", FuelOutside.RUNS),
        ("it was losing fuel for weeks", FuelOutside.RUNS),
        ("gas under the car this morning", FuelOutside.RUNS),
        ("strong smell of petrol under the bonnet", FuelOutside.SMELLS),
        ("it smells like gas and won't fire", FuelOutside.SMELLS),
        ("petrol fumes in the cabin", FuelOutside.SMELLS),
        ("no fuel leak, no smell of fuel", FuelOutside.NONE),
        ("it does not smell of petrol", FuelOutside.NONE),
        ("it cranks all day but it will not start", FuelOutside.NONE),
        ("ran out of gas, put five litres of fuel in", FuelOutside.NONE),
        ("coolant leak last month, new fuel pump", FuelOutside.NONE),
        ("leaks oil everywhere", FuelOutside.NONE),
    ],
)
def test_fuel_outside_is_seen_in_free_words(words, told):
    """The customer's complaint may be the first to tell of it; what is denied is not there."""
    assert fuel_told_in(words) is told

"""A car that burns petrol and gas is led as a petrol car with a gas system beside it, which nobody opens."""

import pytest

from assistant.facts import FactKind
from assistant.language.model import GiveResult, Heard
from assistant.language.understand import understand
from assistant.procedure.model import Hazard
from assistant.session.understood import StepWords
from tests.guide.conftest import read_library
from tests.guide.test_told_before import Talk

FUEL = StepWords(read_library(), "vehicle-facts", "fuel")


@pytest.mark.parametrize(
    "words",
    [
        "dual fuel",
        "it runs on gas too",
        "petrol and lpg",
        "it's a bi fuel car",
        "petrol with an LPG conversion",
        "it's been converted to gas but still runs on petrol",
        "runs on both",
    ],
)
def test_both_fuels_are_told_in_many_ways(words):
    """None of them is petrol alone, nor gas alone."""
    assert FUEL.of(words)["result"] == "dual"


@pytest.mark.parametrize(
    ("words", "result"), [("petrol", "petrol"), ("gas", "petrol"), ("lpg", "gas"), ("propane", "gas"), ("cng", "gas")]
)
def test_one_fuel_stays_one(words, result):
    """Gas alone is the American's petrol, as ever."""
    assert FUEL.of(words)["result"] == result


@pytest.mark.parametrize("words", ["petrol, no lpg", "not lpg, petrol"])
def test_a_fuel_that_is_denied_is_not_offered(words):
    """A "no" before it is never lost."""
    made = understand(Heard(words=words, confidence=1.0, free_text=words), FUEL.expected)
    assert not isinstance(made, GiveResult) or made.result == "petrol"
    assert getattr(made, "offer", None) != "propane"


def test_the_gas_is_shut_before_anything_is_led():
    """Its caution comes first, then its valve, then the rest of the intake; work on it is left to who is licensed."""
    talk = Talk(
        read_library(), "understood", "it cranks but will not start", "nothing", "overnight", "dual fuel", "yes"
    )
    assert "licensed" in talk.words
    assert talk.state.at.step == "gas-beside"
    talk.say("no gas smell")
    assert "Shut the valve on the gas tank" in talk.words
    assert "I lead the petrol side alone" in talk.words
    assert talk.say("done").state.at.step == "drive"
    assert talk.state.vehicle["fuel"] == "dual"
    acknowledged = [fact.data["caution"] for fact in talk.facts if fact.kind is FactKind.CAUTION_ACKNOWLEDGED]
    assert acknowledged == ["gas-beside"]


def test_nothing_is_sprayed_into_it():
    """Starting fluid is for petrol alone."""
    for procedure in ("fuel-substitute", "fuel-substitute-paced"):
        asked = read_library()[procedure].step("fuel")
        led = {each.id: each.goes for each in asked.results}
        assert led["dual"] == led["gas"]
        assert Hazard.SPRAYING not in read_library()[procedure].step(led["dual"]).all_hazards

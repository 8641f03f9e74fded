"""A part that was itself what was begun says what came of it and what to do next."""

import pytest

from tests.guide.led import Led

ALONE = ("battery-state", "battery-load-test", "voltage-drop-positive", "voltage-drop-ground", "fuel-pressure")


def found(led):
    return next(fact for fact in reversed(led.facts) if fact.kind.value == "finding-reached").data


def test_a_low_battery_is_to_be_charged_and_tested_under_load(library):
    """It once ended in "outcome: low" alone; the advice is spoken and kept."""
    led = Led(library, "battery-state", {"rest-volts": "twelve point one volts"}).until("low")
    assert "The battery is partly charged. Charge it fully, let it rest, and load test it." in led.words
    assert found(led)["advice"].startswith("Charge it fully")


def test_within_another_procedure_nothing_is_said_of_it(library):
    """There what comes next is the business of the procedure that called it."""
    led = Led(
        library,
        "no-crank",
        {"dash": "they grow dim", "rested": "nobody measured", "rest-volts": "twelve point six volts"},
    ).until("by-hand")
    assert not any("load test it" in each for each in led.said)


@pytest.mark.parametrize("name", ALONE)
def test_each_outcome_of_what_may_be_begun_alone_says_what_is_next(library, name):
    """No outcome of these parts is without advice."""
    for step in library[name].steps:
        assert step.outcome is None or step.advice, step.id

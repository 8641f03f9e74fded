"""Dangerous orders are found in the words of a step, and nothing else is taken for one."""

from __future__ import annotations

import pytest

from assistant.procedure.checks.words import orders_in
from assistant.procedure.model import Hazard


@pytest.mark.parametrize(
    ("text", "hazard"),
    [
        ("Spray one second into the duct.", Hazard.SPRAYING),
        ("Hold the can upright, then spray.", Hazard.SPRAYING),
        ("Now gently crank for five seconds.", Hazard.CRANKING),
        ("Foot off the pedal. Crank up to ten seconds.", Hazard.CRANKING),
        ("Have the second person crank.", Hazard.CRANKING),
        ("Ask your helper to crank.", Hazard.CRANKING),
        ("Turn the key to start for two seconds.", Hazard.CRANKING),
        ("Press the remote switch.", Hazard.CRANKING),
        ("Do not touch the fan, but crank for five seconds.", Hazard.CRANKING),
        ("If you do not see it, crank again.", Hazard.CRANKING),
        ("Start the engine and listen.", Hazard.RUNNING_ENGINE),
        ("Let it idle for a minute.", Hazard.RUNNING_ENGINE),
        ("Wrap a rag round it and undo the fuel line.", Hazard.OPEN_FUEL_LINE),
        ("Disconnect the quick fuel coupling.", Hazard.OPEN_FUEL_LINE),
        ("Disconnect the negative battery cable.", Hazard.BATTERY_CLAMP),
        ("Take the ground clamp off the battery.", Hazard.BATTERY_CLAMP),
        ("Connect the charger to the battery.", Hazard.BATTERY_CLAMP),
        ("Draw an arc to the block.", Hazard.EXPOSED_SPARK),
        ("Watch the gap for a spark.", Hazard.EXPOSED_SPARK),
        ("Solder the joint.", Hazard.HOT_WORK),
        ("Warm the bolt with a heat gun.", Hazard.HOT_WORK),
    ],
)
def test_an_order_is_found(text: str, hazard: Hazard) -> None:
    """A verb at the head of a clause, or someone told to do it, is an order."""
    assert hazard in [found for found, _ in orders_in(text)]


@pytest.mark.parametrize(
    "text",
    [
        "Do not spray or crank.",
        "Never open a fuel line while it is hot.",
        "Don't crank, start the engine, or touch the battery clamps.",
        "Go on without cranking.",
        "Spray can away?",
        "Spray can on the bench, cap on.",
        "Crank sensor plug: look for green pins.",
        "Unplug the crank sensor.",
        "Before you crank, look round.",
        "The engine may crank by itself.",
        "Start with the fuse nearest the door.",
        "Start from the left.",
        "Clamp the tester to engine metal, away from the battery.",
        "Clip the red probe to the battery.",
        "Connect the meter to the battery.",
        "Look at the battery cable.",
        "Open the fuel filler cap.",
        "Look at the fuel line.",
        "Undo the air filter lid.",
        "Watch the spark plugs for soot.",
        "Look for a spark plug lead.",
        "Does it crank?",
        "Do you see a spark?",
        "Take the battery cover off.",
        "Nobody may crank, spray or smoke.",
        "Heat is no concern here.",
        "Grinding is what you heard.",
        "Let the starter rest.",
    ],
)
def test_no_order_is_made_up(text: str) -> None:
    """What is forbidden, asked, or only named is no order."""
    assert list(orders_in(text)) == []

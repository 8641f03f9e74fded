"""What people tell at the start, each in their own words, is taken for what it means or offered, not lost.

The sentences are our own invention; none stands in the procedures as a whole phrase.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from assistant.language.own_words import meant_by
from assistant.procedure.model import Procedure

CHANGED = {
    "it was hosed off yesterday": "washed",
    "they pressure washed the engine yesterday": "washed",
    "it went through a ford": "washed",
    "he filled it up this morning": "fuel",
    "right after filling it up": "fuel",
    "somebody might have put diesel in": "fuel",
    "i suspect the wrong fuel": "fuel",
    "he got a new key last week": "key",
    "the remote battery is flat": "key",
    "key trouble": "key",
    "they fitted a new battery": "battery",
    "it was jump started yesterday": "battery",
    "he had the timing belt done": "repair",
    "nothing at all": "nothing",
}
HOW_STOPPED = {
    "it wouldn't start after the car wash": "overnight",
    "it never started after filling up": "overnight",
    "quit hot and comes back after it cools": "hot",
    "she dies when she is warmed up but restarts once it's cool": "hot",
    "it wouldn't go again next morning": "overnight",
    "went out in the morning and nope": "overnight",
    "started to misfire and cough": "sputtered",
    "coughed to a halt": "sputtered",
    "it cut out dead at seventy": "sudden",
    "driving along and it quit": "sudden",
    "it stalled at the lights": "sudden",
    "quit on her at the traffic lights": "sudden",
    "died while he was driving": "sudden",
    "it just died on the highway": "sudden",
    "sputtered and died on the motorway": "sputtered",
    "it was slower every morning": "dragged",
    "started taking longer and longer to fire": "worse",
    "worse each cold morning": "worse",
}
FAILED_BEFORE = {
    "now and then": "none",
    "every now and then": "none",
    "on and off": "none",
    "sometimes": "none",
    "once in a while": "none",
}
NO_METER = {
    "no meter on it": "unknown",
    "there was no meter on": "unknown",
    "slow with the pack too": "helped",
    "it held": "held",
}
DRIVE = {
    "it's a hybrid with a push button": "yes",
    "yes it's a plug in": "yes",
    "she runs on electricity": "yes",
    "no it's older than me": "no",
    "it's too old for that": "no",
    "never was a hybrid": "no",
}
CYLINDERS = {"V6": "6", "v 8": "8", "inline 6": "6", "a 3cylinder": "3"}
IGNITION = {"cop": "coil-on-plug", "c o p": "coil-on-plug"}


@pytest.mark.parametrize(
    ("procedure", "step", "told"),
    [
        ("no-start", "changed", CHANGED),
        ("no-start", "how-stopped", HOW_STOPPED),
        ("no-start", "came-before", FAILED_BEFORE),
        ("comes-and-goes", "when", FAILED_BEFORE),
        ("slow-crank", "held", NO_METER),
        ("vehicle-facts", "drive", DRIVE),
        ("vehicle-facts", "cylinders", CYLINDERS),
        ("vehicle-facts", "ignition", IGNITION),
    ],
)
def test_what_is_told_at_the_start_is_taken(
    shipped: Mapping[str, Procedure], procedure: str, step: str, told: Mapping[str, str]
) -> None:
    """A car is told by its own story: how it stopped, how it is driven and fired."""
    asked = next(each for each in shipped[procedure].steps if each.id == step)
    results = {each.id: each.phrases for each in asked.results}
    answers = {each.id: each.answers for each in asked.results if each.answers}
    meant = {words: meant_by(words.lower(), results, answers) for words in told}
    assert meant == told

"""What denies a thing is never taken for it, by a grammar or by a guess: the whole way from words to a result.

The sentences are our own invention. None: it must be taken for nothing; refused, with no offer.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from assistant.session.understood import StepWords
from assistant.wiring import load_library

CHARGE_LAMP = {
    "charge lamp stayed on": "lit",
    "it stayed lit": "lit",
    "the lamp never went out": "lit",
    "never went out": "lit",
    "it did not go out": "lit",
    "went out": "dark",
    "lamp went out as usual": "dark",
    "it never came on": "dark",
    "charge lamp didn't burn": "dark",
    "it did not stay on": "dark",
    "no lights grew dim": "dark",
    "the lights never grew dim": "dark",
    "it was charging fine": "dark",
    "yes": "control:yes",
    "no": "control:no",
}
CHANGED = {
    "no new battery": "nothing",
    "no new key or battery": "nothing",
    "no new fuel": "nothing",
    "no key trouble": "nothing",
    "it was never washed": "nothing",
    "it hasn't been washed": "nothing",
    "not washed": None,
    "nobody washed it": None,
    "no cheap gas": None,
    "not repaired": None,
    "it wasn't in a bump": None,
    "no bump": None,
    "ran out of fuel": None,
    "he ran out of petrol": None,
    "out of gas": None,
    "the tank was empty": None,
    "he filled her up yesterday": "fuel",
    "nah nothing just died": "nothing",
}
HELD = {
    "yes": "held",
    "no": "sagged",
    "ten volts": "held",
    "ten point four": "held",
    "nine point six": "held",
    "eleven": "held",
    "it never fell": "held",
    "it wasn't below": "held",
    "nine point two": "sagged",
    "nine and a half": "sagged",
    "eight volts": "sagged",
    "it dropped to seven": "sagged",
    "it didn't stay above": "sagged",
    "above nine": None,
    "below ten": None,
}


@pytest.mark.parametrize(
    ("procedure", "step", "told"),
    [
        ("no-start", "charge-lamp", CHARGE_LAMP),
        ("no-start", "changed", CHANGED),
        ("slow-crank", "held", HELD),
    ],
)
def test_opposites_are_not_taken_for_each_other(procedure: str, step: str, told: Mapping[str, str | None]) -> None:
    """Whatever is taken at once is what was meant, and what is not taken is not offered either."""
    _, library = load_library(procedure)
    words = StepWords(library, procedure, step)
    found = {said: words.of(said) for said in told}
    assert {said: each["result"] for said, each in found.items()} == dict(told)
    assert {said: each["offer"] for said, each in found.items() if each["offer"]} == {}


def test_what_stopped_after_a_wash_is_not_told_as_a_morning() -> None:
    """It is read back by words that are true of both."""
    _, library = load_library("no-start")
    stopped = next(each for each in library["no-start"].steps if each.id == "how-stopped")
    overnight = next(each for each in stopped.results if each.id == "overnight")
    assert overnight.phrases[0] == "dead at the next start"
    assert StepWords(library, "no-start", "how-stopped").of("it wouldn't start right after the wash")["result"] == (
        "overnight"
    )

"""What the guide says around the starter and other timed actions: short, for it is said while something moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

RELEASE_KEY = "Release the key."
RELEASE_KEY_NOW = "Release the key now."
RELEASE_NOZZLE = "Release the nozzle."
UNASKED = "I hear the starter. Release the key until I ask for it."
UNHEARD = "I do not hear the starter. I will use tones. Begin at the tone."

CRANK_WHEN_THERE = "Crank when you are there. I listen, and call the release."
COUNT_IN = "Three, two, one. Begin at the tone."
RESTED = "The starter has rested."
RESTED_SHORT = "Starter rested."
TIME_IS_UP = "The time is up."

WHINED = "by the sound the starter spun easily and may not have turned the engine"
CHATTERED = "by the sound the starter only chattered"
LIGHT = "light and even, hardly any compression"
UNSURE = "not sure whether it caught"
NOT_CAUGHT = "did not catch"
CAUGHT = "it caught"
UNEVEN = "uneven"

STROKES: Mapping[int, str] = {2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 8: "eighth"}
"""Which stroke one of so many cylinders has."""


def walk(time: str) -> str:
    """The way to the key, and what begins then."""
    return f"You have {time} to get there. Begin at the tone."


def step_clear(time: str) -> str:
    """The same where somebody else turns the key."""
    return f"{time.capitalize()} to step clear. Your helper begins at the tone."


def walk_known(time: str) -> str:
    """The same to who knows the work."""
    return f"{time.capitalize()}. Begin at the tone."


def walk_again(time: str) -> str:
    """The same once it was heard."""
    return f"{time.capitalize()}."


def must_rest(time: str) -> str:
    """Told before it is cranked again."""
    return f"The starter must rest for {time}. Do not crank."


def must_rest_short(time: str) -> str:
    """The same to who knows the work."""
    return f"Starter rests {time}. Do not crank."


def release_and_rest(time: str) -> str:
    """It is cranked in its rest."""
    return f"{RELEASE_KEY} The starter must rest for {time}."


def ran(time: str) -> str:
    """An engine that caught."""
    return f"ran for {time}"


def uneven_every(stroke: str) -> str:
    """A cylinder that does not work."""
    return f"uneven, about every {stroke} stroke"


def burst(parts: Sequence[str]) -> str:
    """What was heard of a burst, in a sentence."""
    text = ", ".join(parts)
    return f"{text[0].upper()}{text[1:]}."

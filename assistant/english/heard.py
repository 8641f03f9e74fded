"""What is answered to words that were not understood, or not surely."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.english.lists import say_list

TAKE_YOUR_TIME = "Take your time."
MAY_SPRAY = "Spray only where I ask for it. Never on a diesel, nor with glow plugs, an intake heater or high voltage."
MAY_BOOST = "Boost only where I ask for it, at the points that the maker names, and never a high voltage battery."
PACEMAKER = (
    "Warning. A running ignition, a coil or a jump pack can upset a pacemaker. Keep well away from running ignition "
    "parts, coils and the leads of a jump pack. Leave the spark tests to somebody else. Ask your doctor and the "
    "vehicle maker."
)
"""Source: common practice, no source. It is told and not kept: how somebody is is not the car's record."""
NO_TIMER = "I keep no timer of yours, only the waits of the work. To keep words say: take a note."
NOT_SURE = "I am not sure. Say it once more."
CODE_AGAIN = "I did not get that code. Say its letter and its four marks once more."
SUCH_A_NUMBER = "That number"


def say_first(word: str) -> str:
    """The rule of the attention word, when a job opens."""
    return f"Say {word} before each command. Stop needs no {word}."


def did_you_say(offer: str) -> str:
    """What was heard, half."""
    return f"Did you say {offer}?"


def say_if_meant(phrase: str) -> str:
    return f"If you mean it, say: {phrase}."


def did_you_mean(phrase: str) -> str:
    """What own words are likest."""
    return f"Did you mean {phrase}?"


def say_which(one: str, other: str) -> str:
    """Two that mean opposite things."""
    return f"I heard {one} or {other}. Say which."


def say_once_more(words: str) -> str:
    """Half heard, and of such weight that a bare yes is not enough."""
    return f"If you said {words}, say it once more."


def nothing_to_say_it_to(word: str) -> str:
    """A yes or no that nobody asked for."""
    return f"There is nothing to say {word} to now."


def other_unit(wanted: str, spoken: str) -> str:
    """Units in the plural."""
    return f"This step needs {wanted}, not {spoken}."


def which_unit(amounts: Sequence[str]) -> str:
    """A number that means one thing in one unit and another in the other."""
    return f"{say_list(amounts, 'or').capitalize()}? Say it with its unit." if amounts else "Say it with its unit."


def no_figure(amount: str) -> str:
    """More or less than so much, which is no reading."""
    return f"{amount.capitalize()} is no figure. Say the figure that you read."


def still_rises(amount: str) -> str:
    """So much at this moment, of what has not come to stand."""
    return f"{amount.capitalize()} and rising. Say the figure once it stands still."


ABOUT = "about"
"""Before a figure that was told as roughly so much."""


def too_rough(amount: str) -> str:
    """About so much, so near a limit that it decides nothing."""
    return f"{amount.capitalize()} is too near a limit. Say the figure that you read."


ASKED_BEFORE = "That answers what I asked before. To change that answer, say: strike that."
ASKED_LATER = "That is asked later. First this."
WHICH_TEST = "Which test, and what did it show? Say: I found, and what it showed."


def what_it_showed(test: str, results: Sequence[str]) -> str:
    """Of a test that was done: its results, each as it may be told."""
    return f"What did it show, the {test}? Say: {say_list(results, 'or')}."


A_NUMBER_ALONE = "A number alone does not tell it here."
WHICH_DEGREES = f"Degrees Celsius or Fahrenheit? {A_NUMBER_ALONE}"


def cannot_be(amount: str, what: str) -> str:
    """A number that no such reading has."""
    return f"{amount} cannot be {what} here."

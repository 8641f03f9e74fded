"""What is told whatever is asked: a danger is a fact of car and bay, and fire and smoke stop everything."""

from __future__ import annotations

from assistant.language.dangers import (
    FUEL_LEAK,
    FUEL_SMELL,
    WRONG_FUEL,
    danger_told,
    so_of_the_bay,
    tells_a_fuel_leak,
    tells_a_smell,
    tells_some_leak,
    tells_the_wrong_fuel,
    tells_the_wrong_fuel_in_petrol,
)
from assistant.language.model import Command, Control, Expected, GiveControl, TellTest
from assistant.language.perils import tells_a_peril

CAR_AND_BAY = "car-and-bay"
"""Stands in place of a test where what is so was told and none showed it."""


def told_test(clause: str, expected: Expected) -> TellTest | None:
    """The result of a test by its clause; None where no such test may be told."""
    found = (key for key, clauses in expected.supposed.items() if clause in clauses)
    test, _, result = next(found, "").partition("=")
    return TellTest(test=test, result=result, words=clause) if test and expected.questions else None


def wrong_fuel(words: str, expected: Expected) -> TellTest | None:
    """That the wrong fuel went in, whatever else the words answer: "just filled up, with diesel by mistake"."""
    return told_test(WRONG_FUEL, expected) if tells_the_wrong_fuel(words) else None


def danger(words: str, expected: Expected, *, asked: bool = False) -> Command | None:
    """A danger that these plain words, as a whole, tell of: a fact, or where no test may be told, a stop. None where
    the step asks about it, unless it is `asked` for all the same: there its own answers come first."""
    so = so_of_the_bay(words.split()) if expected.questions else None
    if so is not None:
        return TellTest(test=CAR_AND_BAY, result=so[1][0], words=so[0], makes=so[1])
    clause = danger_told(words.split()) or _wrong_in_petrol(words, expected)
    if clause is None or (not asked and _asks_about(clause, expected)):
        return None
    return told_test(clause, expected) or _stop(expected)


def _wrong_in_petrol(words: str, expected: Expected) -> str | None:
    """The wrong fuel, where nothing is asked that "diesel" may answer: each procedure that tells of it burns petrol."""
    known = (each for said in (*expected.results.values(), *expected.examples.values()) for each in said)
    told = tells_the_wrong_fuel_in_petrol(words) and not any("diesel" in each for each in known)
    return WRONG_FUEL if told else None


def alarm(words: str, expected: Expected) -> Command | None:
    """Fire, smoke, somebody hurt, a car that moves and who begins with "stop", which stop everything; and a leak of
    something, which is of fuel until it is known to be of something else."""
    said = words.split()
    if tells_a_peril(said) or words.startswith("stop "):
        return _stop(expected)
    return told_test(FUEL_LEAK, expected) or _stop(expected) if tells_some_leak(said) else None


def _asks_about(clause: str, expected: Expected) -> bool:
    """Whether people are known to tell of such a thing where this is asked."""
    known = tuple(
        each for answers in (expected.results, expected.examples) for said in answers.values() for each in said
    )
    if clause == FUEL_SMELL:
        return any(map(tells_a_smell, known))
    return clause == FUEL_LEAK and any(tells_a_fuel_leak(each.split()) for each in known)


def _stop(expected: Expected) -> GiveControl | None:
    return GiveControl(control=Control.STOP) if Control.STOP in expected.controls else None

"""Figures that are told roughly, bounded, or without the unit that matters."""

import pytest

from assistant.language.model import Expected, GiveReading, Heard, Unclear
from assistant.language.reading import is_rough, parse_reading, shown_by_meter
from assistant.language.understand import meaning_of_offer, understand
from assistant.procedure.model import Quantity
from assistant.session.understood import StepWords
from assistant.wiring import load_libraries, shipped_procedures

VOLTS = Expected(controls=frozenset(), quantity=Quantity.VOLTAGE, unit="V")
VALUES = StepWords(load_libraries(tuple(shipped_procedures()))[1], "no-start", "values")
WARMTH = Expected(controls=frozenset(), quantity=Quantity.TEMPERATURE, unit="degF")


def _told(words, expected=VOLTS):
    return understand(Heard(words=words, confidence=1.0), expected)


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("twelve four five", 12.45),
        ("twelve point four five", 12.45),
        ("eleven nine", 11.9),
        ("nine and a half", 9.5),
        ("fourteen two five", 14.25),
        ("twelve oh five", 12.05),
        ("ten oh four volts", 10.04),
        ("it reads twelve six two", 12.62),
        ("ten dead", 10),
    ],
)
def test_a_figure_without_its_point_is_a_reading(words, value):
    """As a meter is read aloud: digit for digit, the point left out."""
    told = _told(words)
    assert isinstance(told, GiveReading)
    assert told.value == pytest.approx(value)
    assert not is_rough(told.spoken)


@pytest.mark.parametrize("words", ["twelve forty-five", "one two four", "nine five"])
def test_a_figure_that_may_be_another_is_offered(words):
    """What the quantity cannot be as it was said is asked about, never taken."""
    told = _told(words)
    assert isinstance(told, Unclear)
    assert told.offer in ("twelve point four five volts", "twelve point four volts", "nine point five volts")


def test_of_a_pressure_the_same_words_are_hundreds():
    """A gauge in kilopascals shows no digits after the point."""
    told = parse_reading("twelve four five", Quantity.PRESSURE, "kPa")
    assert isinstance(told, GiveReading)
    assert told.value == 1245


@pytest.mark.parametrize(
    ("words", "spoken"),
    [
        ("ten and a bit", "about ten volts"),
        ("ten and dropping", "about ten volts"),
        ("it's ten volts and slowly falling", "about ten volts"),
        ("ten, still going down", "about ten volts"),
        ("about ten", "about ten volts"),
        ("just over ten", "about ten volts"),
        ("a bit under ten volts", "about ten volts"),
        ("ten ish", "about ten volts"),
        ("12.4ish", "about twelve point four volts"),
        ("ten ish volts", "about ten volts"),
        ("ten or so", "about ten volts"),
        ("nearly twelve", "about twelve volts"),
        ("roughly nine and a half", "about nine point five volts"),
        ("it dropped to about eight point seven I think", "about eight point seven volts"),
    ],
)
def test_roughly_so_much_is_read_back_as_about(words, spoken):
    """The hesitation about a value is never lost; the record can still tell what the meter showed."""
    told = _told(words)
    assert isinstance(told, GiveReading)
    assert (told.spoken, told.guessed) == (spoken, True)
    assert shown_by_meter(spoken) == (told.value, "V")
    again = meaning_of_offer(spoken, VOLTS)
    assert isinstance(again, GiveReading)
    assert again.spoken == spoken


@pytest.mark.parametrize(
    "words",
    [
        "over ten",
        "under nine volts",
        "dropped below nine",
        "more than twelve",
        "at least ten",
        "ten something",
        "ten plus",
    ],
)
def test_more_or_less_than_so_much_is_asked_for(words):
    """Nobody knows by how much, and the limit may lie just there."""
    told = _told(words)
    assert isinstance(told, Unclear)
    assert "is no figure" in told.detail
    assert told.offer is None


@pytest.mark.parametrize("words", ["20", "twenty", "about seventy", "20 degrees", "it's 110 I think"])
def test_a_temperature_without_its_unit_is_asked_for(words):
    """Twenty is a warm day in one unit and a hard frost in the other."""
    told = _told(words, WARMTH)
    assert isinstance(told, Unclear)
    assert "degrees celsius or" in told.detail
    assert told.offer is None


@pytest.mark.parametrize(("words", "value"), [("twenty celsius", 68), ("70F", 70), ("about seventy fahrenheit", 70)])
def test_a_temperature_with_its_unit_is_a_reading(words, value):
    """Named, either unit is understood."""
    told = _told(words, WARMTH)
    assert isinstance(told, GiveReading)
    assert told.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("words", "asks_unit"),
    [("coolant one ten", True), ("coolant 110", True), ("coolant 90 air 20", True), ("coolant 110 f", False)],
)
def test_a_temperature_alone_is_judged_by_nobody_but_who_stands_there(words, asks_unit):
    """Where it is asked whether temperatures can be true, a number is neither of the answers."""
    made = understand(Heard(words=words, confidence=1.0), VALUES.expected)
    assert isinstance(made, Unclear)
    assert made.offer is None
    assert ("Celsius or Fahrenheit" in made.detail) is asks_unit
    assert "does not tell" in made.detail


@pytest.mark.parametrize(
    ("words", "result"),
    [("coolant says minus forty", "odd"), ("minus forty", "odd"), ("both about twenty same as the shop", "plausible")],
)
def test_a_temperature_that_is_judged_is_an_answer(words, result):
    """Minus forty is the same in both units, and what a sensor shows whose wire is off."""
    assert VALUES.of(words)["result"] == result


@pytest.mark.parametrize("words", ["ten and rising", "it's ten volts, still climbing", "ten but it's going up"])
def test_what_still_rises_is_waited_for(words):
    """Where it stands may be another band; that it is no figure would be untrue."""
    told = _told(words)
    assert told.offer is None and told.detail == "Ten volts and rising. Say the figure once it stands still."

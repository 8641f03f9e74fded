"""Readings in the context of a step."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.language.model import GiveReading, Unclear, UnclearReason
from assistant.language.quantities import MEASURES, decimals_of, possible_range, shown_decimals, units_of
from assistant.language.reading import (
    amount_said,
    only_names_the_unit,
    parse_reading,
    reading_inside,
    shown_by_meter,
    ways_to_say_reading,
)
from assistant.language.speak import say_amount
from assistant.procedure.model import Quantity


@pytest.mark.parametrize(
    ("words", "quantity", "unit", "value"),
    [
        ("twelve point four volts", "voltage", "V", 12.4),
        ("twelve point four", "voltage", "V", 12.4),
        ("12.4", "voltage", "V", 12.4),
        ("12.4 v", "voltage", "V", 12.4),
        ("12,4", "voltage", "V", 12.4),
        ("nine hundred millivolts", "voltage", "V", 0.9),
        ("negative point two", "voltage-drop", "V", -0.2),
        ("155 psi", "compression", "psi", 155),
        ("a hundred fifty five p s i", "compression", "psi", 155),
        ("three bar", "pressure", "psi", 43.511321),
        ("1,200 ohms", "resistance", "ohm", 1200),
        ("one point two kilohms", "resistance", "ohm", 1200),
        ("fifty milliamps", "parasitic-current", "A", 0.05),
        ("seventy degrees fahrenheit", "temperature", "degC", 21.111111),
        ("eighteen inches", "vacuum", "inHg", 18),
        ("one ninety r p m", "cranking-speed", "rpm", 190),
    ],
)
def test_understands_a_reading(words, quantity, unit, value):
    """A number with its unit named or implied, spoken or typed, comes in the unit of the step."""
    given_reading = parse_reading(words, Quantity(quantity), unit)
    assert isinstance(given_reading, GiveReading)
    assert given_reading.value == pytest.approx(value, rel=1e-4)  # five digits are kept of what was converted
    assert given_reading.unit == unit


@pytest.mark.parametrize(
    ("words", "quantity", "unit", "offer"),
    [
        ("one hundred twenty four", "voltage", "V", "twelve point four volts"),
        ("one hundred twenty four volts", "voltage", "V", "twelve point four volts"),
        ("1240", "voltage", "V", "twelve point four volts"),
        ("minus twelve point four", "voltage", "V", "twelve point four volts"),
        ("fifteen hundred fifty", "compression", "psi", "one hundred fifty five p s i"),
        ("one five five zero", "compression", "psi", "one hundred fifty five p s i"),
    ],
)
def test_an_impossible_number_is_asked_again_with_the_likely_one(words, quantity, unit, offer):
    """A number that the quantity cannot be is never logged; what was probably meant is offered."""
    unclear = parse_reading(words, Quantity(quantity), unit)
    assert isinstance(unclear, Unclear)
    assert unclear.reason is UnclearReason.IMPOSSIBLE
    assert unclear.offer == offer
    assert "cannot be" in unclear.detail


@pytest.mark.parametrize("words", ["twelve p s i", "12 psi", "forty amps", "10 °c"])
def test_a_wrong_unit_is_refused_in_words(words):
    """A unit of another kind is refused with the unit that the step needs."""
    unclear = parse_reading(words, Quantity.VOLTAGE, "V")
    assert isinstance(unclear, Unclear)
    assert unclear.reason is UnclearReason.WRONG_UNIT
    assert "volts" in unclear.detail


@pytest.mark.parametrize("words", ["spark", "twelve banana", "12 banana", "1.2.3", "volts", "", "12,4,5,6.7.8 v"])
def test_what_is_no_reading_gives_none(words):
    """Words that hold no number, or more than one, are not taken for a reading."""
    assert parse_reading(words, Quantity.VOLTAGE, "V") is None


@given(st.data())
def test_every_accepted_form_of_a_reading_comes_back(data):
    """Each spoken form of each possible value at meter resolution is understood as that value."""
    quantity = data.draw(st.sampled_from(Quantity))
    unit = data.draw(st.sampled_from(units_of(quantity))).symbol
    low, high = possible_range(quantity, unit)
    decimals = decimals_of(quantity, unit)
    steps = st.integers(math.ceil(low * 10**decimals), math.floor(high * 10**decimals))
    value = data.draw(steps) / 10**decimals
    value = round(value, shown_decimals(quantity, unit, value))
    for form in (*ways_to_say_reading(value, quantity, unit), say_amount(value, unit)):
        heard = parse_reading(form, quantity, unit)
        assert isinstance(heard, GiveReading), form
        assert heard.value == pytest.approx(value, abs=10**-decimals / 2)


@pytest.mark.parametrize(
    ("words", "quantity", "unit", "spoken"),
    [
        ("12.40", "voltage", "V", "twelve point four volts"),
        ("eighteen p s i", "pressure", "kPa", "eighteen p s i, that is one hundred twenty four kilopascals"),
        ("nine hundred millivolts", "voltage", "V", "nine hundred millivolts, that is zero point nine volts"),
        ("three millivolts", "voltage", "V", "three millivolts, that is zero point zero zero three volts"),
    ],
)
def test_a_converted_reading_is_read_back_as_said_and_as_kept(words, quantity, unit, spoken):
    """The technician hears their own figure, and what it became, at the resolution of a meter."""
    reading = parse_reading(words, Quantity(quantity), unit)
    assert isinstance(reading, GiveReading)
    assert reading.spoken == spoken


def test_every_quantity_has_its_measure():
    """No quantity that a procedure may name is without units and range."""
    assert set(MEASURES) == set(Quantity)


def test_what_of_a_reading_matters_is_its_amount():
    """One volt is one volts and one v, not one amp; what is no reading stands for itself."""
    assert (
        amount_said("one point five volt") == amount_said("one decimal five v") == amount_said("one and a half volts")
    )
    assert amount_said("one volt") != amount_said("one amp")
    assert amount_said("no spark") == "no spark"


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("half a litre", 0.5), ("quarter of a litre", 0.25), ("three tenths", 0.3), ("a tenth", 0.1),
        ("nought point five litres", 0.5), ("nine tenths", 0.9),
    ],
)  # fmt: skip
def test_parts_of_a_litre_are_told_as_people_tell_them(words, value):
    """By halves, quarters and tenths."""
    told = parse_reading(words, Quantity.VOLUME, "l")
    assert isinstance(told, GiveReading) and told.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("words", "value"),
    [("hundred and ten", 110), ("one fifty", 150), ("eleven fifty", 1150), ("hundred and ninety r p m", 190)],
)
def test_speeds_are_told_as_people_tell_them(words, value):
    """Hundreds without their "a" or their "hundred"."""
    told = parse_reading(words, Quantity.CRANKING_SPEED, "rpm")
    assert isinstance(told, GiveReading | Unclear)
    assert isinstance(told, Unclear) if value > 1000 else told.value == value


def test_of_a_number_among_words_only_one_that_stands_alone_counts():
    """Two that touch, two that differ uncorrected, and one that is denied are no reading."""
    volts = (Quantity.VOLTAGE, "V")
    assert reading_inside("the meter shows twelve point four", *volts).value == 12.4
    assert reading_inside("i read twelve point two no twelve point four", *volts).value == 12.4
    for words in (
        "it shows nine nine",
        "it is not twelve point four",
        "twelve point two and twelve point four",
        "no idea",
        *(f"look at {before} one" for before in ("this", "that", "the", "other")),
    ):
        assert reading_inside(words, *volts) is None
    assert reading_inside("i read one", *volts).value == 1.0
    assert reading_inside("nine i read it like that", *volts).value == 9.0
    for words in ("twelve point four at one half", "twelve point four or a tenth", "twelve point four and two kilo"):
        assert reading_inside(words, *volts) is None


def test_what_a_meter_showed_is_read_back_out_of_its_words():
    """With the unit that it had, whatever it was converted to."""
    assert shown_by_meter("sixty psi, that is four point one bar") == (60.0, "psi")
    assert shown_by_meter("it is fine") is None and shown_by_meter("sixty") is None


@pytest.mark.parametrize(
    ("words", "longer", "only"),
    [
        ("twelve point four five", ["twelve point four five v", "twelve point four five volts"], True),
        ("twelve point four", ["twelve point four five", "twelve point four volts"], False),
        ("fifty", ["fifty ohms", "fifty kilohms"], False),
        ("twelve volts", ["twelve volts please"], False),
        ("twelve", [], False),
        ("no spark", ["no spark volts"], False),
    ],
)
def test_only_a_unit_may_follow_a_reading_that_is_complete(words: str, longer: list[str], *, only: bool) -> None:
    """And it is the one unit that the reading has anyhow."""
    assert only_names_the_unit(words, longer) is only


@pytest.mark.parametrize(
    ("words", "value"),
    [("twelve four", 12.4), ("twelve four volts", 12.4), ("ten nine", 10.9), ("twelve zero", 12.0), ("nine", 9.0)],
)
def test_volts_are_told_without_the_point(words, value):
    """A number from ten to nineteen and a digit: the battery of a car."""
    told = parse_reading(words, Quantity.VOLTAGE, "V")
    assert isinstance(told, GiveReading) and told.value == pytest.approx(value)


@pytest.mark.parametrize("words", ["four twelve", "twelve twelve", "twelve four five six"])
def test_what_is_no_shortened_number_is_not_bent_to_one(words):
    """Nothing is logged of it."""
    assert not isinstance(parse_reading(words, Quantity.VOLTAGE, "V"), GiveReading)


@pytest.mark.parametrize(
    "correction", ["no", "wait", "sorry", "correction", "rather", "i meant", "i mean", "actually", "scratch that"]
)
def test_of_two_values_the_corrected_one_counts(correction):
    """Only where something between them says that the first was wrong."""
    told = reading_inside(f"twelve point two {correction} twelve point four", Quantity.VOLTAGE, "V")
    assert told.value == 12.4
    told = reading_inside(f"it {correction} shows twelve point two and twelve point four", Quantity.VOLTAGE, "V")
    assert told is None


@pytest.mark.parametrize("denial", ["not", "isn't", "wasn't", "doesn't", "never"])
def test_a_value_beside_a_denial_is_none(denial):
    """Whichever comes first."""
    for words in (f"it {denial} show twelve point four", f"twelve point four it {denial}"):
        assert reading_inside(words, Quantity.VOLTAGE, "V") is None


NUMBERS_AND_UNITS = """hundred thousand half quarter niner tenth tenths hundredths kilo k milli mega amps volts one five
nine ten nineteen twenty ninety bar ohms celsius percent v"""
DENYING = "not isn't wasn't doesn't never minus negative point"
CORRECTING = "no wait sorry correction rather meant mean actually scratch make"


@pytest.mark.parametrize("word", NUMBERS_AND_UNITS.split())
def test_another_number_or_unit_beside_a_reading_leaves_it_open(word: str) -> None:
    """Nobody knows which was meant; other words tell nothing against it."""
    volts = (Quantity.VOLTAGE, "V")
    assert reading_inside(f"twelve point four on that {word}", *volts) is None
    assert reading_inside("twelve point four on that lead", *volts).value == 12.4


@pytest.mark.parametrize("word", DENYING.split())
def test_what_denies_or_begins_a_number_leaves_a_reading_open(word: str) -> None:
    """It may be another, or none."""
    assert reading_inside(f"{word} as i thought twelve point four", Quantity.VOLTAGE, "V") is None


@pytest.mark.parametrize("word", [*CORRECTING.split(), "then"])
def test_a_second_value_counts_after_a_correction_alone(word: str) -> None:
    """Else neither does; the same value twice is one."""
    read = reading_inside(f"twelve point two {word} twelve point four", Quantity.VOLTAGE, "V")
    assert (read.value if read else None) == (None if word == "then" else 12.4)
    same = reading_inside(f"twelve point four {word} twelve point four", Quantity.VOLTAGE, "V")
    assert same.value == 12.4


@pytest.mark.parametrize(
    ("words", "quantity", "unit", "value"),
    [
        ("twelve four", "voltage", "V", 12.4),
        ("eighteen p s i", "pressure", "kPa", 124.11),
        ("thousand ohms", "resistance", "ohm", 1000.0),
        ("twelve fifty ohms", "resistance", "ohm", 1250.0),
        ("twelve fifty five", "resistance", "ohm", 1255.0),
        ("quarter of an ohm", "resistance", "ohm", None),
        ("three tenths of an ohm", "resistance", "ohm", 0.3),
        ("half an ohm", "resistance", "ohm", 0.5),
        ("one tenth of a volt", "voltage", "V", 0.1),
        ("ten inches of mercury", "vacuum", "inHg", 10.0),
        ("1,234.5", "resistance", "ohm", 1234.5),
        ("+12.4v", "voltage", "V", 12.4),
        (".5", "voltage", "V", 0.5),
        ("1,2,3", "voltage", "V", None),
        ("nought nought", "voltage", "V", 0.0),
        ("twelve ten", "voltage", "V", None),
    ],
)
def test_a_number_is_read_as_people_shorten_it(words: str, quantity: str, unit: str, value: float | None) -> None:
    """To five digits where it was converted; what is no number is no reading."""
    read = parse_reading(words, Quantity(quantity), unit)
    assert (read.value if isinstance(read, GiveReading) else None) == value


def test_a_number_too_large_to_say_is_told_without_it() -> None:
    """And the largest that can be said with it."""
    for words, told in (("999999999", "Nine hundred ninety nine million"), ("9999999999", "That number cannot")):
        unclear = parse_reading(words, Quantity.VOLTAGE, "V")
        assert isinstance(unclear, Unclear) and unclear.detail.startswith(told) and unclear.offer is None


@pytest.mark.parametrize("said", ["what's healthy for one of these", "so how much is ten volts", "which one reads ten"])
def test_a_question_for_a_figure_tells_none(said):
    """Though a number stands in it."""
    assert reading_inside(said, Quantity.VOLTAGE, "V") is None


@pytest.mark.parametrize(
    "said", ["how about twelve point four", "what i've got is twelve point four", "what it says is 12.4"]
)
def test_what_only_begins_like_a_question_tells_one(said):
    """It goes on with what is told."""
    told = reading_inside(said, Quantity.VOLTAGE, "V")
    assert isinstance(told, GiveReading) and told.value == 12.4

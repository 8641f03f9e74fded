"""A reading said in the context of a step: number, unit named or implied, converted, and checked for being possible."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

from assistant.english.heard import ABOUT, SUCH_A_NUMBER, cannot_be, no_figure, other_unit, still_rises, which_unit
from assistant.language.model import GiveReading, Unclear, UnclearReason
from assistant.language.numbers import LARGEST, ONES, TEENS, TENS, parse_number, ways_to_say
from assistant.language.quantities import (
    MEASURES,
    UNITS,
    Unit,
    convert,
    decimals_of,
    is_possible,
    likely_value,
    shown_decimals,
    unit_named,
    units_of,
)
from assistant.language.roughly import Sureness, sureness, with_sureness_last
from assistant.language.speak import say_amount
from assistant.procedure.model import Quantity

_TYPED = re.compile(r"([-+]?(?:\d[\d,]*(?:\.\d+)?|\.\d+))\s*(.*)")
_MOST_DECIMALS = 4
_THOUSANDS = re.compile(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?")


def parse_reading(words: str, quantity: Quantity, unit: str) -> GiveReading | Unclear | None:
    """What the words say of this quantity, in the unit that the step asks; None when they are not a reading at all.

    Unclear with a sentence for a unit of another kind, or for a number that the quantity cannot be, with an offer.
    """
    if is_rough(words):
        exact = parse_reading(words.removeprefix(f"{ABOUT} "), quantity, unit)
        return _as_sure(exact, ABOUT, "") if isinstance(exact, GiveReading) else exact
    said = _amount(words)
    if said is None:
        return None
    value, units = said
    usable = [spoken for spoken in units if spoken in units_of(quantity)]
    if units and not usable:
        return _wrong_unit(words, units[0], unit)
    if not units and quantity is Quantity.TEMPERATURE:
        return _which_unit(words, value, quantity)
    spoken = usable[0] if usable else unit_named(unit)
    if not decimals_of(quantity, spoken.symbol) and _run_together(words.split()[:3]):
        value *= 100  # "twelve four five" of what has no digits after the point
    asked = convert(float(value), spoken.symbol, unit)
    if spoken is not unit_named(unit):
        asked = float(f"{asked:.{_DIGITS}g}")
    if is_possible(quantity, asked, unit):
        return GiveReading(value=asked, unit=unit, words=words, spoken=_read_back(value, spoken, asked, quantity, unit))
    return _impossible(words, value, spoken, quantity)


def shown_by_meter(read_back: str) -> tuple[float, str] | None:
    """What a meter showed and its unit, out of the words by which the reading was read back; None for other words.

    The record keeps these words beside the value in the unit of the step: "sixty psi, that is …".
    """
    said = _amount(as_shown(read_back).removeprefix(f"{ABOUT} "))
    if said is None or not said[1]:
        return None
    return float(said[0]), said[1][0].symbol


def is_rough(read_back: str) -> bool:
    """Whether the words by which a reading is read back say that it was told roughly."""
    return read_back.startswith(f"{ABOUT} ")


def as_shown(read_back: str) -> str:
    """Of the words by which a reading is read back those that say what the meter showed."""
    return read_back.split(THAT_IS, maxsplit=1)[0]


_SIZES = (
    "hundred",
    "thousand",
    "half",
    "quarter",
    "niner",
    "tenth",
    "tenths",
    "hundredths",
    "kilo",
    "k",
    "milli",
    "mega",
)
_OTHER_NUMBERS = frozenset((*ONES, *TEENS, *TENS, *_SIZES, *(word for unit in UNITS for word in unit.spoken)))
_DENIED = frozenset(("not", "isn't", "wasn't", "doesn't", "never", "minus", "negative", "point"))
_CORRECTS = frozenset(("no", "wait", "sorry", "correction", "rather", "meant", "mean", "actually", "scratch", "make"))
_LONGEST = 9


_AUXILIARIES = "is|are|was|were|do|does|should|would|can"
_ASKS = re.compile(rf"(?:(?:and|so|okay|right|well) )*(?:what(?:'s|'re| (?:{_AUXILIARIES}))|which|why|how(?! about))\b")
"""What begins so asks for a figure and tells none, "what's healthy for one of these"; not "what I've got is"."""


def reading_inside(words: str, quantity: Quantity, unit: str) -> GiveReading | Unclear | None:
    """The reading that stands among other words, "it dropped to eight point seven by the end"; None where none does.

    Of several values the last counts, and only after a correction; with another number or unit besides, or "not",
    none does. What is told roughly says so; Unclear, with what is to be said, where the figure or its unit is missing.
    """
    if _ASKS.match(words):
        return None
    said = with_sureness_last(words).split()
    found: list[tuple[int, int, GiveReading]] = []
    lacking: Unclear | None = None
    at = 0
    while at < len(said):
        best = None
        for end in range(min(len(said), at + _LONGEST), at, -1):
            read = parse_reading(" ".join(said[at:end]), quantity, unit)
            if isinstance(read, GiveReading):
                best = (at, end, read)
                break
            if lacking is None and isinstance(read, Unclear) and read.reason is UnclearReason.UNSURE:
                lacking = read
        alone = best is not None and best[1] - at == 1 and at > 0 and said[at - 1] in ("this", "that", "the", "other")
        if best is not None and not alone:
            found.append(best)
            at = best[1]
        else:
            at += 1
    inside = {place for begin, end, _ in found for place in range(begin, end)}
    rest = [word for place, word in enumerate(said) if place not in inside]
    if not found and lacking is not None and not _DENIED.intersection(rest):
        return lacking
    if not found or _DENIED.intersection(rest) or _OTHER_NUMBERS.intersection(rest):
        return None
    if any(one[1] == other[0] for one, other in pairwise(found)):
        return None  # "nine nine" is one number that we do not know, not two
    first, last = found[0], found[-1]
    if len({each.value for _, _, each in found}) > 1 and not _CORRECTS.intersection(said[first[1] : last[0]]):
        return None
    return _as_sure(last[2], " ".join(said[: last[0]]), " ".join(said[last[1] :]))


def _as_sure(reading: GiveReading, before: str, after: str) -> GiveReading | Unclear:
    """The reading as surely as it was told by the words around it."""
    told = sureness(before, after)
    if told is Sureness.ABOUT and not is_rough(reading.spoken):
        return replace(reading, spoken=f"{ABOUT} {reading.spoken}", guessed=True)
    if told is Sureness.RISING:
        detail = still_rises(as_shown(reading.spoken))
        return Unclear(reason=UnclearReason.UNSURE, words=reading.words, detail=detail)
    if told is Sureness.BOUND:
        return Unclear(reason=UnclearReason.UNSURE, words=reading.words, detail=no_figure(as_shown(reading.spoken)))
    return reading


def amount_said(words: str) -> object:
    """What of a reading matters: the value and its unit, "volt" as "volts"; the words themselves where it is none."""
    return _amount(words) or words


def only_names_the_unit(words: str, longer: Sequence[str]) -> bool:
    """Whether all that may follow this reading is the one unit that it has anyhow: so with "twelve point four five" on
    a meter of two decimals, not with "twelve point four", and not where kilohms may follow as well as ohms."""
    said, named = _amount(words), {_amount(one) for one in longer}
    return said is not None and not said[1] and len(named) == 1 and all(one and one[0] == said[0] for one in named)


def ways_to_say_reading(value: float, quantity: Quantity, unit: str) -> tuple[str, ...]:
    """Every spoken form of a reading that is understood while this quantity is asked in this unit.

    With each unit word of that unit and, where the unit is implied, without.
    """
    named = unit_named(unit)
    words = named.spoken if quantity is Quantity.TEMPERATURE else (*named.spoken, "")
    forms = ways_to_say(Decimal(f"{value:.{shown_decimals(quantity, unit, value)}f}"))
    return tuple(f"{form} {word}".strip() for form in forms for word in words)


THAT_IS = ", that is "
"""Between what was said and what it is in the unit of the step."""

_DIGITS = 5
"""Digits that a converted reading keeps: far more than a meter knows, and no more than a record should claim."""


def _read_back(value: Decimal, said: Unit, asked: float, quantity: Quantity, unit: str) -> str:
    """As it was said; where the step asks another unit, that too, at the resolution of a common meter."""
    as_said = say_amount(value, said.symbol)
    if said is unit_named(unit):
        return as_said
    return f"{as_said}{THAT_IS}{say_amount(_fitting(asked, decimals_of(quantity, unit)), unit)}"


def _fitting(value: float, decimals: int) -> Decimal:
    """The value to so many digits after the point, or to more where nothing but zeros would be left."""
    while decimals < _MOST_DECIMALS and not round(value, decimals):
        decimals += 1
    return Decimal(f"{value:.{decimals}f}")


def _amount(words: str) -> tuple[Decimal, tuple[Unit, ...]] | None:
    """The number and the units that its unit words can mean (none when no unit was said)."""
    typed = _TYPED.fullmatch(words)
    if typed:
        return _typed_amount(typed[1], typed[2].strip())
    tokens = words.split()
    for length in (3, 2, 1):  # the longest unit has three words: "inches of mercury"
        tail = " ".join(tokens[-length:])
        units = _units_called(tail.removeprefix("of a ").removeprefix("of an ")) if len(tokens) > length else ()
        value = _number(tokens[:-length]) if units else None
        if value is not None:
            return value, units
    value = _number(tokens)
    return None if value is None else (value, ())


_SPOKEN_DIGITS = frozenset((*ONES, "oh"))

_SHORT = {"half a": "a half", "half an": "a half", "quarter of a": "a quarter"}


def _number(tokens: list[str]) -> Decimal | None:
    """A number, also as people shorten it: "half a" litre, "hundred and ten", "twelve four" and "twelve four five" for
    twelve point four and twelve point four five."""
    value = parse_number(tokens)
    if value is not None or not tokens:
        return value
    if " ".join(tokens) in _SHORT:
        return parse_number(_SHORT[" ".join(tokens)].split())
    if tokens[0] in ("hundred", "thousand"):
        return parse_number(["a", *tokens])
    if "nought" in tokens:
        return parse_number(["zero" if word == "nought" else word for word in tokens])
    if len(tokens) == 2 and tokens[1] in ("tenth", "tenths"):
        return parse_number(["point", "one" if tokens[0] == "a" else tokens[0]])
    if _run_together(tokens) or (len(tokens) == 2 and tokens[0] in TEENS and tokens[1] in ONES):
        return parse_number([tokens[0], "point", *tokens[1:]])
    if len(tokens) in (2, 3) and tokens[0] in TEENS and tokens[1] in TENS:
        return parse_number([tokens[0], "hundred", "and", *tokens[1:]])
    return None


def _run_together(tokens: list[str]) -> bool:
    """Whether it is a number of which its point is left out, "twelve four five"."""
    return len(tokens) == 3 and tokens[0] in TEENS and _SPOKEN_DIGITS.issuperset(tokens[1:])


def _typed_amount(number: str, tail: str) -> tuple[Decimal, tuple[Unit, ...]] | None:
    plain = number.replace(",", "") if _THOUSANDS.fullmatch(number) else number.replace(",", ".")
    if plain.count(".") > 1:
        return None
    value = Decimal(plain)
    if not tail:
        return value, ()
    units = _units_called(tail)
    return (value, units) if units else None


def _units_called(tail: str) -> tuple[Unit, ...]:
    return tuple(unit for unit in UNITS if tail in unit.typed or tail in unit.spoken)


def _wrong_unit(words: str, spoken: Unit, unit: str) -> Unclear:
    return Unclear(
        reason=UnclearReason.WRONG_UNIT,
        words=words,
        detail=other_unit(unit_named(unit).many, spoken.many),
    )


def _which_unit(words: str, value: Decimal, quantity: Quantity) -> Unclear:
    """A temperature without its unit: twenty is a warm day or a hard frost, so none of the two is guessed."""
    say = [say_amount(value, symbol) for symbol in MEASURES[quantity].decimals] if abs(value) <= LARGEST else []
    return Unclear(reason=UnclearReason.UNSURE, words=words, detail=which_unit(say))


def _impossible(words: str, value: Decimal, spoken: Unit, quantity: Quantity) -> Unclear:
    likely = likely_value(quantity, value, spoken.symbol)
    offer = None if likely is None else say_amount(likely, spoken.symbol)
    amount = say_amount(value, spoken.symbol).capitalize() if abs(value) <= LARGEST else SUCH_A_NUMBER
    return Unclear(
        reason=UnclearReason.IMPOSSIBLE,
        words=words,
        offer=offer,
        detail=cannot_be(amount, MEASURES[quantity].noun),
    )

"""Results and readings: what was said or measured, and how it was judged."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

from assistant.facts import Fact, FactKind, ReadingLogged, ResultLogged, TestTold
from assistant.language.quantities import convert
from assistant.language.reading import is_rough, shown_by_meter
from assistant.language.several import names_more
from assistant.procedure.model import COMPRESSION_RATIO, Band, Procedure, Quantity
from assistant.procedure.vehicle import said_value
from assistant.record.compression import Compression, Cylinder, Evenness, Level
from assistant.record.model import Reading, Result, UsedLimit
from assistant.record.personal import REMOVED
from assistant.record.walk import Walk
from assistant.record.wording import amount, known, plain_words

CYLINDER = re.compile(r"\b(?:cylinder|cyl)\W*(\d{1,2})\b", re.IGNORECASE)
LEAST_SHARE = 0.75
"""The lowest cylinder against the highest where no procedure at hand says it. Source: common practice, no source."""
VEHICLES_OWN = "vehicle"
"""What a fact names as the source of a limit that was given for its vehicle."""
WORDS_FOR_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def results(walk: Walk) -> tuple[Result, ...]:
    """Every result logged, and every test told by own choice, in order."""
    return tuple(
        _told(walk, fact) if fact.kind is FactKind.TEST_TOLD else _result(walk, fact)
        for fact in walk.of(FactKind.RESULT_LOGGED, FactKind.TEST_TOLD)
    )


def readings(walk: Walk) -> tuple[Reading, ...]:
    """Every reading logged, in order."""
    found = (_reading(walk, fact) for fact in walk.of(FactKind.READING_LOGGED))
    return tuple(one for one in found if one is not None)


def compression_limit(procedures: Mapping[str, Procedure], told: Mapping[str, str]) -> tuple[float, str]:
    """The least share of the highest cylinder and where it comes from: told of this vehicle, else a procedure's."""
    try:
        return float(told[COMPRESSION_RATIO]) / 100.0, "given for this vehicle"
    except (KeyError, ValueError):
        pass
    for one in procedures.values():
        limit = next((limit for limit in one.limits if limit.id == COMPRESSION_RATIO), None)
        if limit is not None:
            source = next((source.text for source in one.sources if source.id == limit.source), limit.source)
            return limit.value / 100.0, source
    return LEAST_SHARE, "common practice, no source"


def compression(read: Sequence[Reading], limit: tuple[float, str]) -> Compression | None:
    """How even and how high the cylinders are, by the last reading of each that stands; None below two of one unit.

    In the meter's own unit where all were read in one. `limit`: the least share of the highest, and its source.
    """
    least, source = limit
    last = {
        one.cylinder: one
        for one in read
        if one.quantity == Quantity.COMPRESSION and one.cylinder is not None and one.mark.struck_by is None
    }
    units = {one.judged_unit for one in last.values()}
    if len(last) < 2 or len(units) != 1:
        return None
    judged = [one.judged_value for one in last.values()]
    if max(judged) <= 0:
        return None
    said = {one.unit for one in last.values()}
    unit = next(iter(said)) if len(said) == 1 else next(iter(units))
    shown = {number: one.value if len(said) == 1 else one.judged_value for number, one in last.items()}
    floor = next((end for one in last.values() for end in (one.at_least, one.below) if end is not None), None)
    low = tuple(number for number in sorted(last) if floor is not None and last[number].judged_value < floor.value)
    reached = _converted(floor.value, floor.unit, unit) if floor is not None else None
    return Compression(
        unit=unit,
        cylinders=tuple(
            Cylinder(cylinder=number, value=shown[number], fact=last[number].mark.fact, low=number in low)
            for number in sorted(last)
        ),
        evenness=Evenness(
            passes=min(judged) >= least * max(judged),
            lowest=min(shown.values()),
            highest=max(shown.values()),
            share=round(min(judged) / max(judged), 4),
            limit_share=least,
            source=source,
        ),
        level=Level(passes=not low, floor=reached, low=low, source=floor.source)
        if floor is not None and reached is not None
        else None,
    )


def _told(walk: Walk, fact: Fact) -> Result:
    """A test that no step asked for: the fact alone says what it was."""
    said = fact.shows(TestTold)
    return Result(
        mark=walk.mark(fact),
        result=said.result,
        label=said.words or plain_words(said.result),
        question=f"{plain_words(said.test or 'test')}, by own choice",
        hearing=walk.hearing(fact),
    )


def _result(walk: Walk, fact: Fact) -> Result:
    step = walk.step(fact)
    said = fact.shows(ResultLogged)
    result = said.result
    chosen = next((one for one in step.results if one.id == result), None) if step else None
    phrase = chosen.phrases[0] if chosen and chosen.phrases else None
    if said.known:  # nobody said a phrase
        phrase = said_value(said.known, result)
    if chosen is not None and chosen.names and said.said != REMOVED and names_more(said.said or "", phrase or ""):
        phrase = f"{phrase}: {said.said}"
    return Result(
        mark=walk.mark(fact),
        result=result,
        label=phrase or plain_words(result),
        question=(step.say if step else "") or plain_words(fact.step or ""),
        hearing=walk.hearing(fact),
        ear=said.ear_words or None,
    )


def _reading(walk: Walk, fact: Fact) -> Reading | None:
    said = fact.shows(ReadingLogged)
    value = known(said.value)
    if value is None:
        return None
    step = walk.step(fact)
    name = said.name or (step.name if step and step.name else plain_words(fact.step or ""))
    unit = said.unit or (step.unit if step and step.unit else "")
    hearing = walk.hearing(fact)
    shown = _shown(hearing.words or "", value, unit)
    band_id = said.band or None
    band = next((one for one in step.bands if one.id == band_id), None) if step else None
    low = _limit(walk, fact, said, band, "at_least", unit=unit)
    high = _limit(walk, fact, said, band, "below", unit=unit)
    return Reading(
        mark=walk.mark(fact),
        name=name,
        quantity=said.quantity or (step.quantity.value if step and step.quantity else ""),
        value=shown[0],
        unit=shown[1],
        judged_value=value,
        judged_unit=unit,
        judgement=band_id,
        verdict=TOLD_ROUGHLY * is_rough(hearing.words or "") + _verdict(band_id, low, high, shown[1]),
        at_least=low,
        below=high,
        hearing=hearing,
        cylinder=_cylinder(fact, name),
    )


TOLD_ROUGHLY = "told as about so much; "


def _shown(read_back: str, value: float, unit: str) -> tuple[float, str]:
    """What the meter showed in its own unit, as far as it is the value that was judged."""
    shown = shown_by_meter(read_back)
    if shown is None:
        return value, unit
    judged = _converted(*shown, unit)
    return shown if judged is not None and math.isclose(judged, value, rel_tol=1e-3, abs_tol=1e-6) else (value, unit)


def _converted(value: float, unit: str, wanted: str) -> float | None:
    """The amount in the wanted unit; None for units of a newer version, or of another kind."""
    try:
        return convert(value, unit, wanted)
    except (KeyError, ValueError):
        return None


def _limit(walk: Walk, fact: Fact, said: ReadingLogged, band: Band | None, end: str, *, unit: str) -> UsedLimit | None:
    """What the fact itself says about this end of its band comes first: it was so when it was judged."""
    told = said.limits.get(end)
    limit_id = (told.limit if told else "") or (getattr(band, end) if band is not None else None)
    written = walk.limit(fact, limit_id) if limit_id else None
    value = known(told.value) if told else None
    if value is None:
        if written is None:
            return None
        value = written[0].value
    overridden = told is not None and told.source == VEHICLES_OWN
    source = (told.source if told else "") or (written[1] if written else "")
    return UsedLimit(
        id=limit_id or "",
        value=value,
        unit=(told.unit if told else "") or (written[0].unit if written else unit),
        source="given for this vehicle" if overridden else source,
        overridden=overridden,
    )


def _verdict(band: str | None, low: UsedLimit | None, high: UsedLimit | None, unit: str) -> str:
    parts = [f"at least {_in_unit(low, unit)}"] if low else []
    parts += [f"below {_in_unit(high, unit)}"] if high else []
    name = plain_words(band or "")
    if not parts:
        return name
    return f"{name} ({' and '.join(parts)})" if name else " and ".join(parts)


def _in_unit(limit: UsedLimit, unit: str) -> str:
    """The limit in the unit that the meter showed, to three figures; in its own where that is of another kind."""
    converted = _converted(limit.value, limit.unit, unit) if limit.unit != unit else None
    return amount(limit.value, limit.unit) if converted is None else amount(float(f"{converted:.3g}"), unit)


def _cylinder(fact: Fact, name: str) -> int | None:
    for words in (name, plain_words(fact.step or "")):
        found = CYLINDER.search(words)
        if found:
            return int(found.group(1))
        after = re.search(r"\bcylinder (\w+)", words.lower())
        if after and after.group(1) in WORDS_FOR_NUMBERS:
            return WORDS_FOR_NUMBERS.index(after.group(1)) + 1
    return None

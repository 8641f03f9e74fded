"""How the documents write times, numbers and words, the same in each of them."""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from assistant.reasoning.standing import lead

if TYPE_CHECKING:
    from assistant.record.model import Reading

LONGEST_WORDS = 1_500
"""Characters of one saying that a document prints; the JSON report holds the whole."""

COLUMNS = 80
"""What a terminal has at least."""

_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]"
)

NOT_AS_RECORDED = "NOT AS RECORDED"
"""What stands across a document whose job does not verify."""

NOT_PROOFED = "dictated, not proofed"
"""What stands beside words that a recogniser wrote and nobody has read."""

Localise = Callable[[datetime], datetime]
"""Brings a time of day into the zone that the reader lives in."""

UNIT_SIGNS = {"degC": "°C", "degF": "°F", "ohm": "Ω", "kohm": "kΩ", "Mohm": "MΩ"}


def printable(words: str) -> str:
    """The words without characters that no document may hold or that turn the reading order around."""
    return _UNPRINTABLE.sub("\ufffd", words)


def fitted(line: str) -> str:
    """The line as a terminal of 80 columns shows it whole: cut between words, what follows set in. Paths stay whole."""
    return textwrap.fill(
        line,
        COLUMNS,
        subsequent_indent="    ",
        break_long_words=False,
        break_on_hyphens=False,
        replace_whitespace=False,
    )


def bounded(words: str) -> str:
    """Printable words, cut where they are too long for a page, with the number of characters left out."""
    if len(words) <= LONGEST_WORDS:
        return printable(words)
    return f"{printable(words[:LONGEST_WORDS])} … ({len(words) - LONGEST_WORDS} more characters in the JSON report)"


def amount(value: float, unit: str = "") -> str:
    """A number as it was said, with its unit: `12.4 V`; never in powers of ten."""
    digits = f"{value:.6f}".rstrip("0").rstrip(".") if value % 1 else f"{value:.0f}"
    return f"{digits} {UNIT_SIGNS.get(unit, unit)}".rstrip()


_BEFORE_UNIT = re.compile(r"(?<=\d) (?=[^\W\d_]{1,4}\b|[%°])")


def unbroken(words: str) -> str:
    """The words with each number held on one line with its unit."""
    return _BEFORE_UNIT.sub("\u00a0", words)


def times(count: int, what: str) -> str:
    """`1 job`, `2 jobs`."""
    return f"{count:,} {what}{'s' * (count != 1)}"


def as_sure(standing: str, words: str) -> str:
    """The words of a finding, led in by how sure it is where they may not stand alone."""
    doubt = lead(standing)
    return f"{doubt}. {words}" if doubt and words else words


def as_shown(reading: Reading) -> str:
    """A reading as its meter showed it: `60 psi`, whatever unit it was judged in."""
    return amount(reading.value, reading.unit)


def percent(probability: float | None) -> str:
    """A probability in whole percent, never rounded up to a line that it fails; empty where none was measured."""
    return "" if probability is None else f"{math.floor(100 * probability + 1e-9)} %"


def elapsed(seconds: float) -> str:
    """Time since the job started: `4:07`, `1:04:07`."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def parsed_utc(utc: str) -> datetime | None:
    """The time of day, or None for what is no ISO 8601 time."""
    try:
        when = datetime.fromisoformat(utc)
    except ValueError:
        return None
    return when if when.tzinfo else when.replace(tzinfo=UTC)


def day_and_time(utc: str, localise: Localise) -> str:
    """`1 May 2031, 09:12` in the reader's zone; what is no time stays as it is."""
    when = parsed_utc(utc)
    if when is None:
        return printable(utc)
    local = localise(when)
    return f"{local.day} {MONTHS[local.month - 1]} {local.year}, {local:%H:%M}"


MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def plain_words(name: str) -> str:
    """An id as words: `no-spark` becomes `no spark`."""
    return name.replace("-", " ").replace("_", " ").strip()


def known(number: float | None) -> float | None:
    """The number, None where a fact told none that could be read."""
    return None if number is None or math.isnan(number) else number

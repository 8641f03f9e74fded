"""How sure people are of a figure: "about ten", "ten and a bit", which is a figure, and "over ten", which is none.

"Twelve and dropping" is the figure of this moment, as of a battery that nothing charges: about so much, read back, and
near a limit asked for. What still rises may end in another band, so it is waited for.

Plain English, our own choice; no source. What is meant is not guessed: roughly so much is read back as "about", and
more or less than so much is asked for, since nobody knows by how much.
"""

from __future__ import annotations

import re
from enum import StrEnum

from assistant.language.numbers import ONES, TEENS, TENS
from assistant.language.quantities import UNITS


class Sureness(StrEnum):
    """What stands around a figure."""

    PLAIN = "plain"
    ABOUT = "about"
    BOUND = "bound"  # more or less than it
    RISING = "rising"  # it does not stand yet


_BIT = r"(?:a )?(?:tiny |wee |little )?(?:bit|touch|hair|shade|tad|whisker|smidge)"
_A_LITTLE = rf"(?:just|only just|{_BIT}|slightly|barely|marginally)"
_PAST = r"(?:over|under|above|below|more than|less than|north of|south of|shy of|short of|off)"
_NEAR = r"roughly|approximately|approx|more or less|give or take|near enough|nearly|almost"
_MOVES = r"(?:(?:and|but|then|it|it's|she|that) )*(?:(?:is|keeps|keeps on|still|just|now|slowly|steadily|quickly) )*"
_DOWN = r"(?:falling|dropping|sinking|going down|creeping down|ticking down|on its way down)"
_UP = r"(?:rising|climbing|going up|creeping up|ticking up|on its way up)"
_BEFORE = re.compile(
    rf"\b(?:(?:just )?about|(?:some)?where (?:near|around)|around|circa|{_NEAR}|(?:pretty |very )?(?:near|close) to"
    rf"|maybe|perhaps|in the region of|{_A_LITTLE} {_PAST})$"
)
_AFTER = re.compile(
    rf"(?:ish|odd|or so|or there ?abouts|there ?abouts|{_NEAR}|and (?:some|{_BIT})|and change|plus {_BIT}"
    rf"|{_A_LITTLE} {_PAST}|{_MOVES}{_DOWN})\b"
)
_RISES = re.compile(rf"{_MOVES}{_UP}\b")
_BOUND_BEFORE = re.compile(
    r"\b(?:over|under|above|below|beneath|beyond|(?:no |not )?(?:more|less|fewer|greater|lower|higher) than"
    r"|at (?:the )?(?:least|most)|north of|south of|shy of|short of|upwards of)$"
)
_BOUND_AFTER = re.compile(
    r"(?:plus|something|and something|point something|or (?:more|less|over|under|above|below|better|higher|lower)"
    r"|and (?:up|over|above|more|less))\b"
)
_UNITS = "|".join(sorted({word for unit in UNITS for word in unit.spoken}, key=len, reverse=True))
_BEFORE_ITS_UNIT = re.compile(rf"\b(ish|odd|or so|and a bit|something|plus|and something|point something) ({_UNITS})\b")
_JOINED = re.compile(rf"(?<!\w)(\d[\d.]*|{'|'.join((*ONES, *TEENS, *TENS))})ish\b")


def with_sureness_last(words: str) -> str:
    """The plain words with "ten ish volts" as "ten volts ish", "tenish" as "ten ish": a figure is one with its unit."""
    return _BEFORE_ITS_UNIT.sub(r"\2 \1", _JOINED.sub(r"\1 ish", words))


def sureness(before: str, after: str) -> Sureness:
    """How sure a figure is by the words before and after it."""
    if _RISES.match(after):
        return Sureness.RISING
    if _BEFORE.search(before) or _AFTER.match(after):
        return Sureness.ABOUT
    return Sureness.BOUND if _BOUND_BEFORE.search(before) or _BOUND_AFTER.match(after) else Sureness.PLAIN

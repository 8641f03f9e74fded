"""Several facts of the car in one breath: "it's a petrol four cylinder with coils on the plugs, cranks fine"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.language.model import FactAsked, FactTold
from assistant.language.numbers import ONES, TEENS, TENS
from assistant.language.own_words import correction_ends, meant_by
from assistant.language.plain import plain_words

LEAST = 2
"""Fewer facts are an answer as any other, but where the question is for one of them: then another may come alone, typed
or written freely. It is not listened for, or "four cylinders" is heard as "four cylinders a"."""

LONGEST_ANSWER = 8
"""Words of one fact at most."""

SAID_BETWEEN: Sequence[Sequence[str]] = (
    *((word,) for word in ("it's", "it", "is", "a", "an", "the", "and", "with", "has", "got", "this", "that's")),
    *((word,) for word in ("engine", "car", "its", "on")),
    *(("cranks", "fine"), ("cranks", "okay"), ("turns", "fine"), ("cranks", "but", "won't", "start")),
    *((word,) for word in ("manual", "automatic", "turbo", "old", "small", "big")),
    *((size, *litre) for size in ("one", "two", "three") for litre in (("litre",), ("liter",))),
)
"""What may stand between: words that tell nothing against a fact. No "not", and nothing that corrects."""

DESCRIBING = frozenset(
    (
        "auto", "gearbox", "transmission", "stick", "shift", "turbocharged", "turbos", "supercharged", "injected",
        "injection", "carburettor", "carburetor", "carb", "aspirated", "naturally", "older", "newer", "modern",
        "new", "little", "large", "normal", "ordinary", "regular", "standard", "simple", "basic", "plain",
        "hatchback", "saloon", "sedan", "estate", "wagon", "van", "truck", "pickup", "coupe", "convertible", "suv",
        "minivan", "motor", "one", "just", "only", "front", "rear", "wheel", "drive", "twin", "single", "double",
        "cam", "overhead", "valve", "valves", "transverse", "in", "of", "so", "but", "she", "he", "she's", "i",
        "think", "well", "also", "here", "model", "points", "leads", "nothing", "special", "fancy", "my", "our",
    )
)  # fmt: skip
"""Words that only describe a car, of what is typed or written freely: too many to listen for."""


_NUMBER = "(?:" + "|".join((*ONES, *TEENS, *TENS, "oh", "hundred", "thousand")) + r"|\d+(?:\.\d+)?)"
_SIZE = re.compile(
    rf"{_NUMBER} point {_NUMBER}(?: (?:litre|liter)s?)?\b|\d+(?:\.\d+)?(?:l|cc)\b|\d\.\d\b(?! \w*lit)"
    rf"|{_NUMBER}(?: {_NUMBER})*(?: point {_NUMBER})?"
    r" (?:litres?|liters?|cc|c c|valves?|speed|horsepower|horse|doors?)\b"
)
"""The size of an engine or the like: its number counts no cylinders."""

_NO_AT_END = re.compile(r" (?:and )?(?:no|nope|nah)(?: (?:no|not|it's not|it isn't|it is not|she isn't|she's not))?$")
"""The no to a question for yes or no that ended the question: "fuel, cylinders, ignition, and any hybrid?"."""

NAMES_NOTHING = frozenset(
    (
        "yes", "yeah", "yep", "yup", "aye", "no", "nope", "nah", "there", "are", "is", "isn't", "aren't", "ain't", "it",
        "it's", "does", "doesn't", "has", "hasn't", "have", "haven't", "got", "do", "don't", "i", "know", "not", "sure",
        "none", "any", "one", "that", "they",
    )
)  # fmt: skip
"""Words that answer only the question that was asked: a fact told unasked must name what it is of."""


def least_told(results: object, asked: Sequence[FactAsked]) -> int:
    """How many facts must be told at once, where these are the results of what is asked."""
    return 1 if any(each.results == results for each in asked) else LEAST


def several(said: Sequence[str], asked: Sequence[FactAsked], least: int = LEAST) -> tuple[FactTold, ...]:
    """The facts that these words tell, all of which must be understood; empty where they tell fewer than `least`, or
    one twice. Of one that is corrected at once ("diesel, no wait, petrol") the last counts; a bare "no" may deny too,
    and at the end answers the one question for yes or no that is open."""
    found: dict[str, FactTold] = {}
    if denied := _NO_AT_END.search(text := " ".join(said)):
        said = text[: denied.start()].split()
    at, latest = 0, ""
    while at < len(said):
        told, length = _fact_at(said, at, asked)
        if (size := _size_at(said, at)) > length:
            told, length = None, size
        if told is None and not length and latest:
            told, length = _corrected_at(said, at, [each for each in asked if each.fact == latest])
            found.pop(latest if told else "", None)
        if told is None:
            length = length or _between_at(said, at)
            if not length:
                return ()
        elif told.fact in found:
            return ()
        else:
            found[told.fact] = told
        latest = told.fact if told is not None else ""
        at += length
    if denied:
        open_yet = [each for each in asked if {"yes", "no"} <= set(each.results) and each.fact not in found]
        if len(open_yet) != 1 or len(found) < LEAST:
            return ()
        (fact,) = open_yet
        found[fact.fact] = FactTold(fact=fact.fact, value="no", words=fact.results["no"][0])
    return tuple(found.values()) if len(found) >= least else ()


_TURNS = frozenset(
    (
        "no", "not", "nor", "never", "neither", "none", "nothing", "without", "cannot", "except", "unless", "instead",
        "wait", "sorry", "correction", "rather", "meant", "mean", "actually", "scratch", "maybe", "perhaps", "might",
        "may", "could", "would", "should", "or", "if", "whether", "either", "think", "guess", "unsure", "sure", "used",
        "converted", "conversion", "swapped", "another", "other", "like", "than", "once", "formerly", "before",
    )
)  # fmt: skip
"""What can turn what stands beside it into something else: with one of these among what was not understood, nothing of
the breath is taken."""

_COUNTED = frozenset(
    (
        *ONES,
        *TEENS,
        *TENS,
        *(word for words in SAID_BETWEEN if len(words) == 1 for word in words),
        "just",
        "only",
        "all",
    )
) | frozenset(("she", "she's", "one's", "got", "of", "them", "in", "row", "normal", "plain", "standard"))
"""Words of a fact that name nothing by themselves."""

_ALONE = frozenset(("petrol", "gasoline", "distributor", "hybrid"))
"""Facts that a single word tells in any sentence. "Four" may be days, "normal" how it cranks."""


def partly(said: Sequence[str], asked: Sequence[FactAsked]) -> tuple[FactTold, ...]:
    """The facts that these words tell among others that are not understood; empty where they tell fewer than LEAST, one
    twice, or where what was not understood may deny, doubt or correct one of them."""
    found: dict[str, FactTold] = {}
    at, skipped = 0, list[str]()
    while at < len(said):
        told, length = _fact_at(said, at, asked)
        size = _size_at(said, at)
        if told is not None and size <= length and _names_itself(said[at : at + length]):
            if told.fact in found:
                return ()
            found[told.fact] = told
            at += length
            continue
        between = size or _between_at(said, at)
        skipped += said[at : at + (between or 1)]
        at += between or 1
    turned = any(word in _TURNS or word.endswith("n't") for word in skipped)
    return tuple(found.values()) if not turned and len(found) >= LEAST else ()


def _names_itself(words: Sequence[str]) -> bool:
    """Whether a fact among other words says what it is of: "it has four" may be wheels, "normal" how it cranks."""
    named = [word for word in words if word not in _COUNTED]
    return (len(words) > 1 and bool(named)) or (named == [*words] and words[0] in _ALONE)


def _size_at(said: Sequence[str], at: int) -> int:
    size = _SIZE.match(" ".join(said[at:]))
    return len(size.group().split()) if size else 0


def _between_at(said: Sequence[str], at: int) -> int:
    """How many words from here tell nothing."""
    between = (words for words in SAID_BETWEEN if tuple(said[at : at + len(words)]) == tuple(words))
    return max(map(len, between), default=int(said[at] in DESCRIBING))


def _corrected_at(said: Sequence[str], at: int, asked: Sequence[FactAsked]) -> tuple[FactTold | None, int]:
    """The same fact told anew behind a correction, and how many words both are."""
    for end in correction_ends(said, at):
        if list(said[at:end]) == ["no"]:
            continue
        told, length = _fact_at(said, end, asked)
        if told is not None:
            return told, end - at + length
    return None, 0


def _fact_at(said: Sequence[str], at: int, asked: Sequence[FactAsked]) -> tuple[FactTold | None, int]:
    """The fact told by the longest stretch from here, and how many words that is; what tells of two tells of none."""
    for length in range(min(LONGEST_ANSWER, len(said) - at), 0, -1):
        words = " ".join(said[at : at + length])
        if words in {" ".join(each) for each in SAID_BETWEEN} or NAMES_NOTHING.issuperset(words.split()):
            continue
        meant = [(each, value) for each in asked if (value := meant_by(words, each.results, each.answers)) is not None]
        if len(meant) == 1:
            each, value = meant[0]
            return FactTold(fact=each.fact, value=value, words=each.results[value][0]), length
    return None, 0


_NAMES_NO_PART = frozenset(
    (
        "yes", "yeah", "yep", "yup", "aye", "sure", "did", "does", "do", "done", "one", "that", "them", "found", "find",
        "i", "fell", "fall", "dropped", "drop", "drops", "down", "went", "goes", "right", "off", "to", "zero", "got",
        "something", "part", "culprit", "when", "with", "then", "loose", "damage", "pulled", "unplugged", "there",
    )
)  # fmt: skip
"""What names no part either."""


def names_more(said: str, words: str) -> bool:
    """Whether these own words name something that the others do not: "boot lamp" beside "it fell with one"."""
    return not (NAMES_NOTHING | _NAMES_NO_PART | set(plain_words(words).split())).issuperset(plain_words(said).split())

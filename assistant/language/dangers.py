"""A danger that is told out of turn: running fuel is a fact whatever is asked, without "I found" before it.

To a question only whole sentences about liquid fuel are; in free words, as of a complaint, it is looked for anywhere.
A smell alone is none, for the bay smells of fuel after much cranking. Plain English, our own choice; no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from enum import StrEnum
from functools import cache

from assistant.grammar.automaton import Automaton, automaton_of
from assistant.grammar.jsgf import read_expansion
from assistant.grammar.model import Grammar
from assistant.procedure.answers import rules_for

FUEL_LEAK = "there is a fuel leak"
"""The clause that a leak is told with, as after "I found"."""

_FUELS = ("petrol", "gasoline", "gas", "fuel")
_FUEL = f"({' | '.join(_FUELS)})"
_WHERE = """[all] [over | on | under | underneath | off | from | out of | at | down] [the | a | it | there]
    [floor | ground | engine | block | car | rail | fuel rail | line | fuel line | hose | pipe | filter | tank | pump
    | injector | injectors | joint | manifold | everywhere | place]"""
_LEAK = f"""
    [oh | hey | wait | hang on | careful] ( [i | we] [can see | have | got | have got | i've got | there's | there is
    | see | see that | found | it's | it is | now | now there's] [a | some | raw | liquid | wet]
    ( {_FUEL} [is | are | was] (leaking | dripping | running | spraying | pouring | squirting | coming out) {_WHERE}
    | {_FUEL} (leak | puddle | leaks) {_WHERE} | (leak | puddle | pool | drip) of {_FUEL} {_WHERE}
    | {_FUEL} (everywhere | all over | on the (floor | ground | engine | block) | under the car) )
    | ( [i] (can smell | smell) | [it] (smells | reeks | stinks) of) [raw] {_FUEL} [and] [there's | there is] [a]
    (puddle | pool | wet patch) {_WHERE}
    | [i will | i'll | let me | i can] [just] (spray | start | crank | try) it [while | though | as | although] it
    (leaks | is leaking) [{_FUEL}]
    | [it | she | the (car | rail | line | hose | tank | pump | filter)] [is | it's] (leaking | leaks | dripping
    | spraying | squirting | pouring | losing) {_FUEL} {_WHERE} )"""


@cache
def _leak() -> Automaton:
    return automaton_of(Grammar(rules=rules_for({"leak": read_expansion(_LEAK, "leak")}), starts=("leak",)))


def tells_a_fuel_leak(said: Sequence[str]) -> bool:
    """Whether these plain words say, as a whole, that liquid fuel runs out."""
    return _leak().accepts(list(said))


class FuelOutside(StrEnum):
    """What free words tell of fuel that is where it should not be."""

    NONE = "none"
    SMELLS = "smells"
    RUNS = "runs"


_LIQUID = f"(?:{'|'.join(_FUELS)})"
_FEW_WORDS = r"(?:\s+[a-z']+){0,3}?\s+"
_RUNS = re.compile(
    rf"\b{_LIQUID}{_FEW_WORDS}(?:leak\w*|drip\w*|pouring|running out|running down|puddles?|all over|everywhere)\b"
    rf"|\b{_LIQUID} (?:is |was )?(?:on|under) (?:the )?(?:floor|ground|engine|car|block)\b"
    rf"|\b(?:leak\w*|drip\w*|puddles? of|pools? of|spraying|losing){_FEW_WORDS}{_LIQUID}\b"
)
_SMELLS = re.compile(
    rf"\b(?:smell\w*|stinks?|stank|reeks?|whiff){_FEW_WORDS}{_LIQUID}\b"
    rf"|\b{_LIQUID} (?:smell\w*|fumes|vapou?rs?)\b"
)
_DENIED = re.compile(r"\b(?:no|not|never|without|isn't|doesn't|didn't|wasn't|don't|nor)(?:\s+[a-z']+){0,2}\s*$")


def fuel_told_in(words: str) -> FuelOutside:
    """What a complaint or a note tells of fuel outside, unless it denies it just before."""
    said = re.sub(r"[^a-z' ]+", " / ", words.lower())  # a mark parts what does not belong together
    for told, pattern in ((FuelOutside.RUNS, _RUNS), (FuelOutside.SMELLS, _SMELLS)):
        if any(not _DENIED.search(said[: found.start()]) for found in pattern.finditer(said)):
            return told
    return FuelOutside.NONE

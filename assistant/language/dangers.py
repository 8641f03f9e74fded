"""A danger that is told out of turn: running fuel is a fact whatever is asked, without "I found" before it.

Only whole sentences about liquid fuel; a smell alone is none, for the bay smells of fuel after much cranking. Plain
English, our own choice; no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from assistant.grammar.automaton import Automaton, automaton_of
from assistant.grammar.jsgf import read_expansion
from assistant.grammar.model import Grammar
from assistant.procedure.answers import rules_for

FUEL_LEAK = "there is a fuel leak"
"""The clause that a leak is told with, as after "I found"."""

_FUEL = "(fuel | petrol | gas | gasoline)"
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

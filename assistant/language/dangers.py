"""A danger that is told out of turn: a fact, or a stop, whatever is asked, without "I found" before it.

To a question only whole sentences are one; the wrong fuel, and in free words as of a complaint running fuel and a smell
of it, are looked for anywhere. Plain English, our own choice; no source.
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

FUEL_LEAK, FUEL_SMELL, WRONG_FUEL = "there is a fuel leak", "it smells of fuel", "there is wrong fuel in it"
"""The clauses that these are told with, as after "I found": what such tests show in the words of the fault models."""

SAYABLE = {
    FUEL_LEAK: (FUEL_LEAK, "fuel is leaking"),
    FUEL_SMELL: (FUEL_SMELL, "i smell fuel"),
    WRONG_FUEL: (WRONG_FUEL,),
}
"""By the clause: what is listened for at any time, as whole sentences. Free writing understands more."""

_FUELS = ("petrol", "gasoline", "gas", "fuel")
_FUEL = f"({' | '.join(_FUELS)})"
_HEY = "[oh | hey | wait | hang on | careful | now | and]"
_WHERE = """[all] [over | on | under | underneath | off | from | out of | at | down] [the | a | it | there]
    [(back | front | side | end | bottom | underside | top | corner) of [the | a]]
    [floor | ground | engine | block | car | rail | fuel rail | line | fuel line | hose | pipe | filter | tank | pump
    | injector | injectors | joint | manifold | everywhere | place]"""
_OUT = """(leaking | dripping | running | running out | running down | spraying | pouring | pouring out | squirting
    | gushing | gushing out | pissing out | coming out | shooting out)"""
_LEAK = f"""
    {_HEY} ( [i | we] [can see | have | have got | got | found | see | see that | there is | it is | there | is]
    [a | some | raw | liquid | wet]
    ( {_FUEL} [is | are | was] {_OUT} {_WHERE}
    | {_FUEL} (leak | puddle | leaks) {_WHERE} | (leak | puddle | pool | drip) of {_FUEL} {_WHERE}
    | {_FUEL} [is] (everywhere | all over | on the (floor | ground | engine | block) | under the car) )
    | ( [i] (can smell | smell) | [it] (smells | reeks | stinks) of) [raw] {_FUEL} [and] [there is] [a]
    (puddle | pool | wet patch) {_WHERE}
    | [i will | i'll | let me | i can] [just] (spray | start | crank | try) it [while | though | as | although] it
    (leaks | is leaking) [{_FUEL}]
    | [it | she | the (car | rail | line | hose | tank | pump | filter)] [is] (leaking | leaks | dripping
    | spraying | squirting | pouring | losing) {_FUEL} {_WHERE}
    | [it | everything | the (engine | floor | block | rail | pump | filter)] [is] [all] (wet | soaked | damp) (with |
    in) {_FUEL} [here | there | under there] )"""


_FUEL_PART = """( [fuel] (line | hose | pipe | rail | filter | tank | pump | joint | regulator) | injector | injectors
    | union )"""
_PART_LEAKS = f"""
    {_HEY} [the | a | that | one of the] {_FUEL_PART}
    [is | are | was] (leaking | dripping | leaks | drips | spraying | weeping | seeping)"""
_SMELL = f"""
    {_HEY} ( [i] [am] (smell | can smell | smelling) | [it | there] (smells | stinks | reeks)
    [a bit | bad | badly | strongly | really] (of | like) | [there is | got | i have got | i have] [a]
    [strong | bad | slight | heavy | real] (smell | whiff | stink) of )
    [a lot of | some | raw | strong] {_FUEL} [vapour | fumes] [here | in here | now | again | too | badly | strongly]
    | {_HEY} [there are | there is | i have | i smell] [strong | heavy] {_FUEL} (fumes | vapour | smell) [here | in
    here | everywhere]"""
_SOME_LEAK = f"""
    {_HEY} ( [it | it is | that is | something | something is | she | she is] (leaking | dripping | leaks | drips
    | spraying) [now | again | badly | everywhere | out | here | under there] | [i | we] [can see | see | have
    | have got | got | found | there is] [a | some] [small | big | bad] leak [now | here | under there | somewhere] )"""


_AIRED = f"""
    {_HEY} [yes | ok | okay] ( [the] (air | place | shop | bay | engine bay | vapour | vapours | fumes | smell)
    (is | are | has | have) [all | now] (clear | clean | fresh | gone | cleared | aired | aired out | blown away)
    | [it | the (shop | place | bay | engine bay)] [has | is | we have] [all | been] (aired | aired out | ventilated)
    | [i | we] [have] aired it [out] | (nothing | no fuel | no petrol) (smells | to smell)
    | [i | we] (smell nothing | can smell nothing | can't smell anything | don't smell anything |
    cannot smell anything) | [there is] no (smell | fumes | vapour) [left] | it (does not | doesn't) smell )
    [now | again | any more | anymore | of (fuel | petrol | gas | it) | at all] [now | any more | anymore]"""


_STILL = "[still | now | just | all]"
_WHO = "[i | we | he | she | they | somebody | someone | the (customer | owner | driver)]"
_HAVING = f"{_WHO} [have | has | had | already | just] [already | just]"
_I_LEFT = f"{_HAVING} left"
_LINE = "fuel [supply | return | feed] (line | hose | rail | filter | pipe | pump | tank | cap)"
_PACK = """((jump | jumper | jumping | booster | boost | boosting) (pack | leads | cables | box) | pack | booster
    | jumpers | jump starter | charger | battery charger | leads | cables | clamps of the (booster | pack | charger))"""
_SPRAY = """(starting fluid | ether | start spray | easy start | quick start | brake cleaner | brake clean
    | carb cleaner | carb clean | choke cleaner)"""
_SOME_OF_IT = "[a (bit | shot | squirt | whiff | splash | dose) of | some]"
_SPRAYED_IN = """[in | in it | into it | down it | in there | on it | (in | into | down) [the | its | a] (intake
    | throttle | throttle body | manifold | carb | carburettor | carburetor | air box | air filter | air intake
    | engine)]"""
_BAY = {
    "line-open": (
        "a fuel line is open",
        f"""{_HEY} [the | a | that | one] {_LINE} [is | are | has | have] {_STILL} (open | off | undone | loose
        | disconnected | apart | popped off | come off | came off | blew off | blown off | burst | split)
        | {_I_LEFT} [the | a] {_LINE} (open | off | undone | loose)
        | {_HAVING} (pulled | disconnected | undid | undone | opened | removed | unplugged | cut | loosened | took off |
        taken off | pulled off) [the | a] {_LINE} [off | apart | open]
        | [the] (rail | fuel rail | tank) is {_STILL} (off | open)""",
    ),
    "pack-on": (
        "the jump pack is on",
        f"""{_HEY} [the] (other | donor) car is {_STILL} (on | connected | hooked up)
        | {_HEY} [the] {_PACK} [is | are] {_STILL} (on from the other car
        | on | connected | hooked up | hooked on | clipped on | clamped on | attached)
        | {_I_LEFT} [the] {_PACK} [on | connected | hooked up]""",
    ),
    "vapour can-out": (
        "starting fluid was sprayed",
        f"""{_HAVING} (sprayed | squirted | put | used | tried | gave it) {_SOME_OF_IT} {_SPRAY} {_SPRAYED_IN}
        [already | before | this morning | earlier | just now | [a | one | two | five | ten] (moment | minute | minutes
        | second | while) ago] [[and | but] [it | she] [even | just] (ran | fired | caught | started | coughed | kicked
        | did nothing) [for a (second | moment | bit) | briefly | on it | once]]
        | {_HAVING} (gave | given) it {_SOME_OF_IT} {_SPRAY}
        | {_SPRAY} [was | has been | got] sprayed [in | into it | already | in there | in the (intake | throttle)]""",
    ),
    "battery-unsafe": (
        "the battery is damaged",
        f"""{_HEY} [the | that | this] battery [case] [is | looks | has] {_STILL} (cracked | swollen | bulging | bulged
        | frozen | split | burst | leaking | leaking acid | hissing | gassing | boiling | fizzing | smoking)
        | [there is | i see] [battery] acid (everywhere | on the (tray | floor | case) | leaking)""",
    ),
    "engine-hot overheated": (
        "the engine is hot",
        f"""{_HEY} ([it | she | the (engine | car | motor | radiator)] [has | had | was | is] [just | really]
        (overheated | boiled over | boiled dry)
        | [the | this] (engine | block | motor) [is] {_STILL} [red | very | really | too | pretty | boiling |
        scalding | steaming | so] (hot | steaming | boiling | overheating | boiling over | overheated)
        | [the | this] (engine | block | motor) [is] {_STILL} hot and steaming
        | [it | she] [is] {_STILL} (boiling over | overheating | steaming | boiling hot | red hot | scalding hot)
        [here | under here]
        | [there is | i see | i can see] [some | a lot of] steam [is] [coming | pouring | blowing | hissing | shooting]
        [out | up] [of | from | out of | off] [the] [engine | radiator | cap | hose | bonnet | hood | expansion tank]
        | [the | hot | boiling] (coolant | antifreeze | water) [is] {_STILL} (spraying | pouring | shooting | spitting |
        boiling | squirting) [out | over | everywhere]
        | [the] radiator [is] {_STILL} (boiling | steaming | boiling over))""",
    ),
    "key-on": (
        "the key is on",
        f"{_HEY} [the] (key | ignition) [is] {_STILL} on | {_I_LEFT} [the] (key | ignition) on",
    ),
}
"""The words of `procedure.condition`, what is noted, and the sentences that say so."""

_SHORT_FOR = {"'s": " is", "'m": " am", "'ve": " have", "'re": " are"}


@cache
def _sentences(expansion: str) -> Automaton:
    return automaton_of(Grammar(rules=rules_for({"told": read_expansion(expansion, "told")}), starts=("told",)))


def tells_a_fuel_leak(said: Sequence[str]) -> bool:
    """Whether these plain words say, as a whole, that liquid fuel runs out."""
    return says(said, _LEAK, _PART_LEAKS)


def spelled_out(said: Sequence[str]) -> list[str]:
    """Without what is drawn together, "it's" or "the battery's hissing": a sentence is written down once."""
    return re.sub(r"(?<=[a-z])'(?:s|m|ve|re)\b", lambda short: _SHORT_FOR[short.group()], " ".join(said)).split()


def says(said: Sequence[str], *expansions: str) -> bool:
    """Whether these plain words are, as a whole, a sentence of one of these expansions."""
    words = spelled_out(said)
    return any(_sentences(each).accepts(words) for each in expansions)


def danger_told(said: Sequence[str]) -> str | None:
    """The clause of the danger that these plain words, as a whole, tell of; None where they tell of none."""
    if tells_the_wrong_fuel(" ".join(said)):
        return WRONG_FUEL
    if tells_a_fuel_leak(said):
        return FUEL_LEAK
    return FUEL_SMELL if says(said, _SMELL) else None


def so_of_the_bay(said: Sequence[str]) -> tuple[str, tuple[str, ...]] | None:
    """What these plain words say, as a whole, is so of car and bay: in our words, and in those of its conditions."""
    found = (so for so, (_, sentences) in _BAY.items() if says(said, sentences))
    so = next(found, None)
    return (_BAY[so][0], tuple(so.split())) if so is not None else None


def leaks_anywhere(words: str) -> bool:
    """Whether these words tell somewhere that something runs out, of which they do not tell what."""
    return told_of(" ".join(spelled_out(_parted(words).split())), _IT_LEAKS)


def tells_some_leak(said: Sequence[str]) -> bool:
    """Whether something runs out of which these words do not tell what."""
    return says(said, _SOME_LEAK)


def has_aired(said: Sequence[str]) -> bool:
    """Whether these plain words say, as a whole, that no vapour is about any more."""
    return says(said, _AIRED)


class FuelOutside(StrEnum):
    """What free words tell of fuel that is where it should not be."""

    NONE = "none"
    SMELLS = "smells"
    RUNS = "runs"


_LIQUID = f"(?:{'|'.join(_FUELS)})"
_FEW_WORDS = r"(?:\s+[a-z']+){0,3}?\s+"
_RUNS = re.compile(
    rf"\b{_LIQUID}{_FEW_WORDS}(?:leak\w*|drip\w*|pouring|running out|running down|puddles?|all over|everywhere"
    r"|spray(?:s|ing)|squirt\w*|gush\w*)\b"
    r"|\b(?:leak(?:s|ing)?|drip(?:s|ping)?) (?:from|at|off|out of) (?:the |an |one )?"
    r"(?:fuel|rail|tank|filter|injectors?)\b"
    r"|\bpuddles? under the tank\b"
    rf"|\b{_LIQUID} (?:is |was )?(?:on|under) (?:the )?(?:floor|ground|engine|car|block)\b"
    rf"|\b(?:leak\w*|drip\w*|puddles? of|pools? of|spraying|losing){_FEW_WORDS}{_LIQUID}\b"
)
_SMELLS = re.compile(
    rf"\b(?:smell\w*|stinks?|stank|reeks?|whiff){_FEW_WORDS}{_LIQUID}\b"
    rf"|\b{_LIQUID} (?:smell\w*|fumes|vapou?rs?)\b"
)
_OTHER = r"(?:diesel|petrol|gasoline|gas|unleaded|kerosene|paraffin|ad ?blue|water)"
_FILLED = r"(?:put|puts|fill\w*|pump\w*|pour\w*|went|got|top\w*)"
_MISTAKEN = r"(?:by mistake|by accident|accidentally|instead)"
_WRONG = re.compile(
    rf"\b(?:the )?wrong (?:fuel|petrol|gas|gasoline|juice|diesel)\b|\bmis ?fuel\w*"
    r"|\b(?:the |some )?(?:wrong|bad) stuff in\b|\b(?:water|ad ?blue|kerosene|paraffin) in (?:the |its |her |his )?"
    r"(?:fuel|petrol|gas|tank|diesel)\b|\bcontaminated (?:fuel|petrol|gas|diesel)\b"
    rf"|\b{_FILLED}\b(?:\s+[a-z']+){{0,5}}?\s+{_OTHER}(?:\s+[a-z']+){{0,5}}?\s+{_MISTAKEN}\b"
    rf"|\b(?:by mistake|by accident|accidentally)(?:\s+[a-z']+){{0,3}}?\s+{_FILLED}(?:\s+[a-z']+){{0,4}}?\s+{_OTHER}\b"
    rf"|\bdiesel (?:in|into) (?:a|the|my|her|his|its) (?:petrol|gas|gasoline)\b"
    rf"|\b(?:petrol|gas|gasoline|unleaded) (?:in|into) (?:a|the|my|her|his|its) diesel\b"
)
_IT_LEAKS = re.compile(
    r"\b(?:it|she|something|one) (?:is |has |just |now |still )*(?:leaks|leaking|leaked|drips|dripping)\b"
)
_NOT_NO = r"(?:\s+(?!no\b|not\b|never\b)[a-z']+){0,4}?\s+"
_IN_IT = r"(?:in it|in there|in the tank|into it)\b"
_OTHER_FUEL = {
    "petrol": re.compile(
        rf"\b(?:{_FILLED}|full of|there(?:'s| is)|is|it's|got|has|smells of)\b{_NOT_NO}diesel\b"
        rf"|\bdiesel\b{_NOT_NO}{_IN_IT}"
    ),
    "diesel": re.compile(
        rf"\b(?:{_FILLED}|full of|there(?:'s| is)|got|has)\b{_NOT_NO}(?:petrol|gasoline|unleaded)\b"
        rf"|\b(?:petrol|gasoline|unleaded)\b{_NOT_NO}{_IN_IT}"
    ),
}
"""What tells of the other fuel in a car whose own is known. "It is a diesel" alone is about the car."""
_PUT_IN = re.compile(
    rf"\b(?:put|puts|poured?){_NOT_NO}diesel in(?:to)?(?: (?:it|there|her|him|this(?: one)?|the (?:tank|car)))?$"
    rf"|\b(?:put|puts|poured?){_NOT_NO}diesel in(?:to)?(?: (?:it|there|her|him|this(?: one)?|the (?:tank|car)))? /"
    r"|\bdiesel (?:has |have |just |actually )*(?:went|gone|been put) in(?:to)?\b"
)
"""What nobody says of a car that burns it: so told, it is the wrong one before the fuel of the car is known."""
_A_DIESEL = re.compile(r"\b(?:a|the|it's|is) diesel(?: engine| car)?$|\bdiesel (?:engine|car|one)\b")
_DENIED = re.compile(
    r"\b(?:no|not|never|without|nor|nobody(?:'s)?|none|[a-z]+n't)(?:\s+(?!(?:and|but|so|then|now)\b)[a-z']+){0,2}\s*$"
)
"""What denies what follows; not over what joins another thing to it: "it won't start and petrol is dripping"."""


_INTO = (
    r"(?:kerb|curb|wall|tree|deer|dog|cow|pole|post|bollard|ditch|lamp ?post|barrier|guard ?rail|pothole|rock|boulder"
    r"|fence|gate|another car|(?:a|the|that|other|parked) car|van|truck|lorry|bus)"
)
_FLUID = r"(?:starting fluid|start(?:er|ing)? spray|ether|easy start|quick start)"
_UP_TO_5, _UP_TO_3 = r"(?:\s+[a-z']+){0,5}?\s+", r"(?:\s+[a-z']+){0,3}?\s+"
_SPRAYED = re.compile(
    rf"\b(?:spray\w*|squirt\w*|splash|shot|dose|whiff|sniff|puff|used|put|tried|gave|poured)\b{_UP_TO_5}{_FLUID}\b"
    rf"|\b(?:fires?|fired|runs?|ran|coughs?|coughed|starts?|started|catches|kicks) on {_FLUID}\b"
    rf"|\b{_FLUID}\b{_UP_TO_3}(?:in|into|down)\b"
    rf"|\b(?:spray\w*|squirt\w*)\b{_UP_TO_3}(?:brake|carb|choke) clean(?:er)?\b{_UP_TO_3}(?:in|into|down)"
    r" (?:the |its |a )?(?:intake|throttle|carb\w*|manifold|air)\b"
)
_HOT = re.compile(
    r"\bover ?heat(?:s|ed|ing)?\b|\bboil(?:s|ed|ing) (?:over|dry)\b|\bboiling hot\b|\bsteaming\b"
    r"|\bsteam (?:came|coming|comes|pour\w*|out|from|everywhere)\b"
    r"|\b(?:engine|motor) (?:is |was |still |very |too |so )*hot and\b|\b(?:temperature )?gauge in the red\b"
)
_PACK_STILL_ON = re.compile(
    r"\b(?:(?:jump(?:er|ing)?|boost(?:er|ing)?) (?:pack|leads|cables|box)|jump starter|jumpers|booster|(?<!coil )pack)"
    r" (?:is |are |all |just )*still (?:on|clamped|clipped|connected|hooked|attached|there)\b"
)
_LONG_AGO = re.compile(r"\b(?:yesterday|last (?:night|week|month|year)|(?:days?|weeks?|months?|years?) ago)\b")
_KNOCK = re.compile(
    r"\b(?:car |road |traffic |minor |little |small |bad |rear end )*"
    r"(?:crash|collision|accident|smash|fender bender|shunt|prang)\b(?! (?:switch|sensor|test|bar))"
    rf"|\b(?:hit|hitting|struck|clipped|(?:crashed|ran|drove|slid|backed|reversed) into|drove over)"
    rf"(?:\s+[a-z']+){{0,3}}?\s+{_INTO}\b"
    r"|\brear[ /]*ended\b|\bcrashed (?:it|the car|her|into|last|yesterday|this)\b"
    r"|\bair ?bags? (?:went off|deployed|blew)\b"
    r"|\b(?:hit|bumped|run into) from behind\b|\bknocked (?:it )?(?:on|in) the (?:front|back|side|rear)\b"
)
_NO_KNOCK = re.compile(r"\bby accident\b|\b(?:computer|laptop|phone|radio|screen|sat ?nav) crash\w*")


def tells_a_knock(words: str) -> bool:
    """Whether these words tell of a crash or of a bump that may have torn a fuel line."""
    return told_of(_NO_KNOCK.sub(" / ", _parted(words)), _KNOCK)


def tells_of_a_spray(words: str) -> bool:
    """Whether these words tell somewhere that starting fluid went in, and not that it was days ago."""
    said = _parted(words)
    return _LONG_AGO.search(said) is None and told_of(said, _SPRAYED)


def tells_the_pack_is_on(words: str) -> bool:
    """Whether these words tell somewhere that what helps the battery was left on."""
    return told_of(" ".join(spelled_out(_parted(words).split())), _PACK_STILL_ON)


def tells_it_overheated(words: str) -> bool:
    """Whether these words tell somewhere of an engine that got too hot, and not that it was days ago."""
    said = _parted(words)
    return _LONG_AGO.search(said) is None and told_of(said, _HOT)


NO_AND_A_SENTENCE = re.compile(r"\bno (?=(?:i|you|he|she|it|we|they|that|there)(?:'\w+)?\b)")
"""A "no" that denies what was said before it and nothing of what follows: "no, he put diesel in it"."""


def told_of(words: str, *patterns: re.Pattern[str]) -> bool:
    """Whether one of these patterns stands somewhere in the words and is not denied just before."""
    words = NO_AND_A_SENTENCE.sub("", words)
    found = (each for pattern in patterns for each in pattern.finditer(words))
    return any(_DENIED.search(words[: each.start()]) is None for each in found)


def tells_a_smell(words: str) -> bool:
    """Whether these words tell somewhere of a smell of fuel."""
    return _SMELLS.search(_parted(words)) is not None


def tells_the_wrong_fuel(words: str, fuel: str = "") -> bool:
    """Whether these words tell somewhere that the wrong fuel went in, and do not deny it just before.

    `fuel`: what the engine burns. Where that is known the other in it is the wrong one; else diesel that was put in.
    """
    said = _parted(words)
    other = _OTHER_FUEL.get(fuel, _PUT_IN)
    patterns = (_WRONG,) if _A_DIESEL.search(said) else (_WRONG, other)
    return told_of(said, *patterns)


def fuel_told_in(words: str) -> FuelOutside:
    """What a complaint or a note tells of fuel outside, unless it denies it just before."""
    said = _parted(words)
    for told, pattern in ((FuelOutside.RUNS, _RUNS), (FuelOutside.SMELLS, _SMELLS)):
        if told_of(said, pattern):
            return told
    return FuelOutside.NONE


def _parted(words: str) -> str:
    """In small letters; a mark parts what does not belong together."""
    return re.sub(r"[^a-z' ]+", " / ", words.lower())

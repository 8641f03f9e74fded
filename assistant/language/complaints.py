"""What a complaint tells of the car in passing: how the starter turns it, that it starts and dies, when it fails, wrong
fuel in it, that its battery goes flat standing or is not charged.

Free words mean nothing to the guide. These move odds alone, like any answer, so that nobody is asked what was just
told. Only what is plain is taken: of two that contradict each other, none. Plain English, our own choice; no source.
"""

from __future__ import annotations

import re

from assistant.language.banged import tells_a_bang
from assistant.language.dangers import FuelOutside, fuel_told_in, tells_the_wrong_fuel
from assistant.procedure.vehicle import TOLD_IN_PASSING

_TURN = r"(?:turn(?:s|ed|ing)?(?: over)?|crank(?:s|ed|ing)?(?: over)?|spin(?:s|ning)?)"
_NOT = r"(?:not|never|doesn't|won't|wouldn't|didn't|can't|cannot|isn't)"
_FASTER = r"(?:fast|quick|quickly|well|enough|properly|hard|normally|strong|strongly)"

_STILL = (
    rf"\b{_NOT}(?: even| really)? (?:turn(?:ing)?|crank(?:ing)?)\b(?! (?:over )?(?:very )?{_FASTER}\b)"
    r"(?! off)(?! (?:it )?(?:over )?(?:by hand|with a))"
    r"|\bno crank\b|\b(?:just|only|nothing but)(?: a| makes a| one)?(?: loud| single)? (?:click\w*|clunk\w*)\b"
    r"|\b(?:turn|turned|turning|hit|hits) the key (?:and )?nothing\b|\bstarter (?:is |seems )?(?:dead|does nothing)\b"
    r"|\bnothing (?:at all )?happens (?:when|if|as soon as)(?: [a-z']+){1,2} (?:press|push|turn|hit|hold)(?:es|s|ed)?\b"
)
_SLOW = (
    rf"\b{_TURN}(?: very| really| too| so| quite| a bit)? (?:slow\w*|sluggish\w*|lazily|weakly)\b"
    rf"|\bslow(?:ly)? (?:to )?{_TURN}\b|\b{_NOT} {_TURN} (?:very )?{_FASTER}\b"
)
_TURNS = (
    rf"(?<!n't )(?<!not )(?<!never )\b{_TURN} (?:all day |away )?"
    r"(?:but|fine|okay|well|normally|and (?:never|won't|will not|doesn't))\b"
)
_WET = (
    r"\b(?:wet|damp|rainy|foggy|misty) (?:mornings?|days?|weather|nights?)\b|\bin the (?:rain|wet|damp)\b"
    r"|\b(?:when|after|if) it(?:'s| is)? (?:been )?(?:rain\w*|damp|wet)\b"
)
_STOOD_WET = r"\b(?:sat|sitting|stood|standing|parked|left|been)(?: [a-z']+){0,3}? in the (?:rain|wet|damp)\b"
"""Where it was, not when it fails."""

_FAILS = (
    r"(?<!n't )(?<!not )(?<!never )(?:dies?|died|dying|dead|stalls?|stalled|stalling|quits?|cuts? out|stops?|"
    rf"stopped|fails?|failed|gives up|{_NOT} (?:even )?(?:start|restart|run|fire|catch|go|turn|crank|spin)\w*|"
    r"no (?:start|crank)|hard to start|trouble)"
)
_WARM = r"(?:when|while|only|once|if) (?:it(?:'s| is| gets) |(?:the )?engine is )?(?:hot|warm(?:ed up)?)"
_HOT = (
    rf"\b{_FAILS}(?: (?!but\b|and\b|fine\b|cold\b|cool\b|starts?\b|runs?\b|when\b)[a-z']+){{0,3}}? {_WARM}\b"
    rf"|\b{_WARM} (?:it |she |the (?:car|engine) )?(?:just )?{_FAILS}\b"
)
_ROAD = r"(?:motorway|freeway|highway|interstate|dual carriageway|road|bridge|hill|ring road|bypass|slip road|ramp)"
_UNDER_WAY = (
    r"(?:(?:while|when|whilst|as) (?:he|she|they|i|we|the customer|the owner)(?:'s| is| was|'re| are| were)? (?:just )?"
    rf"driv\w+|while driving|(?:driving|going|coming|rolling|cruising) (?:down|up|along|home|to work)|"
    rf"(?:out )?(?:on|along|down|up) the (?:\w+ )?{_ROAD}|on the way (?:home|here|in|back|to)|under way|at speed|"
    r"at (?:fifty|sixty|seventy|eighty)|at (?:the |a )?(?:traffic lights?|lights?|junction|roundabout|stop sign)|"
    r"in (?:the )?traffic)"
)
_DIED = (
    r"(?:conk(?:s|ed) out|cut(?:s)? out|died|quit|stalled|packed up|gave up|shut (?:itself )?(?:off|down)|went dead)"
)
_SPUTTERED = r"(?:sp[l]?utter|cough|stutter|stumbl|buck|jerk|hesitat|surg)(?:e|ed|ing|s)?"
_ON_THE_WAY = (
    rf"\b(?:{_DIED}|stopped)(?: (?!but\b|starts?\b|won't\b|wouldn't\b)[a-z']+){{0,3}}? {_UNDER_WAY}\b"
    rf"|\b{_UNDER_WAY}(?: (?!but\b|starts?\b)[a-z']+){{0,3}}? (?:and |then |when )?(?:it |she )?(?:just )?{_DIED}\b"
)

_NO_START = rf"\b{_NOT} (?:even )?(?:start|restart|run|fire|catch|go)\b|\bno start\b"
_COMES_ALIVE = r"(?:starts?|started|fires?|fired|catches|caught|runs?|ran|kicks? (?:in|off)|comes? (?:alive|to life))"
_BRIEFLY = (
    r"(?:(?:and|then|but|up|it|she|just|for|about|a|one|two|three|couple|few|of|second|seconds|moment|bit|little|straight"
    r"|right|away|off|again|immediately|instantly|almost|at|once|okay|fine|first|always|the|engine|car|only)\s+){0,8}?"
)
_DIES_AGAIN = (
    r"(?:dies|died|stalls|stalled|cuts? out|quits?|stops|stopped|goes (?:out|dead)|conks out|packs up|shuts off)"
)
_STAYS = r"(?:keep (?:running|going)|stay (?:running|alive|on|lit)|run on|keep it running)"
_DIES = (
    rf"(?<!won't )(?<!not )(?<!never )(?<!doesn't )(?<!starter )\b{_COMES_ALIVE}\s+{_BRIEFLY}{_DIES_AGAIN}\b"
    rf"|\b{_COMES_ALIVE}\b(?:\s+[a-z']+){{0,4}}?\s+{_NOT} {_STAYS}\b|^(?:it |she )?{_NOT} {_STAYS}\b"
    rf"|\b{_DIES_AGAIN}\s+(?:straight|right|just|a second|two seconds|seconds|a few seconds|shortly|soon|immediately)"
    rf" (?:away )?after (?:it |she )?(?:starts?|starting|start ?up|firing(?: up)?|it has started)\b"
)
_BATTERY_IS = r"\b(?:the |my |his |her )?(?:new )?battery"
_WHILE_IT_STANDS = (
    r"(?:over ?night|every (?:couple of |few |other |second )?(?:mornings?|nights?|days?|weeks?)"
    r"|in the morning|by morning|each (?:morning|night)"
    r"|(?:when|if|while|after) (?:it |the car )?(?:is )?(?:sits?|sitting|stands?|standing|stood|parked|left)"
    r"|after (?:a |one |two |three |a few |a couple of )?(?:days?|nights?|weekend)|if i leave it)"
)
_FLAT = r"(?:flat|dead|empty|drained|discharged|run down|runs down|loses? (?:its )?charge|dies|drains?|goes down)"
_DRAINS = (
    rf"{_BATTERY_IS}(?:\s+[a-z']+){{0,4}}?\s+{_FLAT}\b(?:\s+[a-z']+){{0,3}}?\s+{_WHILE_IT_STANDS}"
    rf"|{_BATTERY_IS} (?:always |just )?(?:keeps?|kept) (?:on )?(?:going|getting|running|dying|draining|losing)\b"
    r"|\b(?:something|it|a fault|what)(?:'s| is| was| keeps| just)* (?:drain(?:s|ing)?|eat(?:s|ing)?|kill(?:s|ing)?"
    r"|flatten(?:s|ing)?) (?:the |my |his |her )?battery\b|\b(?:parasitic|battery) (?:drain|draw)\b"
    rf"|\bflat (?:again )?{_WHILE_IT_STANDS}"
)
_LAMP = r"(?:light|lamp|symbol|warning)"
_LIT = (
    r"(?:is |was |stays? |comes? |came |keeps coming |goes |went |has come |glows|flickers|flashes)"
    r"(?:\w+ )?(?:on|lit|up|dimly|faintly)?\b"
)
_UNCHARGED = (
    rf"\b(?:battery|charge|charging|alternator|generator)(?: warning)? {_LAMP}(?: \w+)? (?:{_LIT}|on\b)"
    r"|\b(?:alternator|generator|battery|it|car) (?:is |does |did )?(?:not|isn't|doesn't|won't|no longer) charg\w+"
    r"|\b(?:no charge|not charging|nothing from the alternator)\b"
)

_SELDOM = re.compile(
    r"\b(?:sometimes|now and (?:then|again)|once in a while|occasionally|from time to time|every so often|at times)\b"
)

_TELLS = {
    tell: re.compile(pattern)
    for tell, pattern in {
        **{"still": _STILL, "slow": _SLOW, "turns": _TURNS, "dies": _DIES, "wet": _WET, "hot": _HOT},
        **{"drains": _DRAINS, "uncharged": _UNCHARGED},
    }.items()
}

_RIVALS = (frozenset({"still", "slow", "turns"}), frozenset({"wet", "hot"}))


def told_in(words: str, fuel: str = "") -> tuple[str, ...]:
    """What these free words tell, each by its id; the key that does not turn in its lock is no engine.

    `fuel`: what the engine burns, where that is known."""
    said = re.sub(r"\bkey (?:doesn't|won't|wouldn't|can't) turn\b", " ", _plain(words))
    found = frozenset(tell for tell, pattern in _TELLS.items() if pattern.search(said))
    found |= {"wrong-fuel"} if tells_the_wrong_fuel(words, fuel) else frozenset()
    found |= {"leaks"} if fuel_told_in(words) is FuelOutside.RUNS else frozenset()
    found |= {"bang"} if tells_a_bang(words) else _stopped(said)
    found -= {"wet"} if re.search(_STOOD_WET, said) else frozenset()
    found -= {"dies"} if found & {"still", "slow", "hot", "wet", "sudden", "sputtered"} else frozenset()
    if found & {"still", "slow", "turns", "dies"} or re.search(_NO_START, said):
        found -= {"drains", "uncharged"}  # it has to start first
    odd = frozenset[str]().union(*(rivals for rivals in _RIVALS if len(found & rivals) > 1))
    seldom = (
        {"still", "slow", "sudden", "sputtered", "bang"} if _SELDOM.search(said) else set[str]()
    )  # what comes and goes is no state
    return tuple(tell for tell in TOLD_IN_PASSING if tell in found - odd - seldom)


def _stopped(said: str) -> frozenset[str]:
    """How it stopped under way: all at once, unless it is said that it sputtered."""
    if not re.search(_ON_THE_WAY, said) or re.search(rf"\b(?:not|never|n't) (?:{_DIED}|cut|die|quit|stall)", said):
        return frozenset()
    return frozenset({"sputtered" if re.search(rf"\b{_SPUTTERED}\b", said) else "sudden"})


def _plain(words: str) -> str:
    said = words.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    said = re.sub(r"[^a-z' ]+", " ", said)
    said = re.sub(r"\b(wo|does|did|would|ca|is|was)nt\b", r"\1n't", said)
    return re.sub(r"\b(?:does|will|would|did|do) not\b", "doesn't", " ".join(said.split()))

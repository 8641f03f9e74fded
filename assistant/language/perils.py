"""What stops everything, whatever is asked: fire and smoke, who is hurt, caught or in the way, and a car that moves.

Fire and smoke are whole sentences, for smoke is an answer to many a question; who is hurt is looked for anywhere in
what answers nothing. Plain English, our own choice; no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.language.dangers import says, spelled_out, told_of

_PART = """(engine | engine bay | bonnet | hood | dash | dashboard | fuse box | fuse | relay | steering column | column
    | cabin | car | wiring | wires | wire | loom | harness | cable | cables | lead | leads | connector | plug | starter
    | alternator | battery | coil | motor | belt | carb | carburettor | carburetor | air filter | air box | throttle
    | throttle body | intake | seat | floor | wheel | rag | insulation)"""
"""Where smoke is no answer about the exhaust."""
_FROM = f"""
    [is | are | was] [coming | pouring | billowing | rising | curling | drifting | shooting | licking] [up | out] (from
    | of | out of | off | under | underneath | behind | inside | in | around | at) [under | underneath | behind
    | inside] [the | my | its | a] {_PART}"""

_HEY = "[oh | hey | help | stop | wait | hang on | hold on | whoa | careful]"
_ON_FIRE = f"""
    {_HEY} ( fire [fire] | [there is | i see] [a] fire | [it | something | she | the (car | engine |
    wiring | battery | starter | fuel)] (is on fire | is burning | caught fire | is catching fire) )"""
_FIRE = f"""
    {_HEY} ( (smoke | flames) [everywhere]
    | [i | we] [can see | see | have | have got | got | there is | there are]
    [a | some] (fire | flames | smoke) [coming out | coming up | in here | under the bonnet | under the hood | here]
    | [it | it is | something | something is | she | she is | the (engine | starter | wiring | wire | cable | battery
    | loom | fuel | car)] [is | has | just] [just] [starting to] (smoking | smokes | smoke | burning | burns | on fire
    | melting | caught fire | catching fire | caught light)
    | [i] (smell | can smell) [something] (burning | smoke) | [it] smells (of | like) (burning | smoke)
    | [i | we] [can see | see | have | have got | got | there is | there are] [a] [bit of | lot of | puff of | some]
    [white | black | grey | gray | blue | thick] (smoke | flames) {_FROM}
    | [it] [backfired | popped | spat back] [and] [the | my | some] {_PART} (caught fire | caught light | is on fire |
    is burning | went up in flames | is alight)
    | [the | some | those | these] {_PART} [is | are] [all | just] (melting | melted | smoking | burning | glowing
    | smouldering | on fire)
    | [i] [have | have got | get | got | there is] [a] [strong | bad | nasty | funny | horrible] (burning | burnt |
    burned | scorched) [plastic | rubber | electrical | wire] smell [now | here | in here | under here]
    | [i] [have | have got | get | got | can smell | smell | there is | it smells of | it smells like | smells of]
    [a] [strong | bad] [smell of | whiff of | something] (burning | burnt | burned) (plastic | rubber | wires | wire
    | insulation | electrics | oil | clutch) [now | here | in here] )"""

_A_PART = "|".join(each.strip() for each in _PART.strip("() \n").split("|"))
_SMOKES = re.compile(
    r"\b(?:smoke|smoking|flames?)(?:\s+(?!and\b|but\b)[a-z']+){0,3}?"
    r"\s+(?:from|of|off|under|underneath|behind|inside|in|around|at|by|near)"
    r"(?: (?:the|my|its|a|that|under|behind|inside))*"
    rf" (?:{_A_PART})\b"
    rf"|\b(?:{_A_PART})(?: is| are|'s)*(?: just| now| all| starting to)* (?:smok(?:ing|es)|burning|on fire|melting)\b"
)
"""Said among other words: of such a part smoke is no answer about the exhaust."""

_EXHAUST = re.compile(r"\b(?:exhaust|tail ?pipe|oil|breather|dipstick|filler)\b")

_HELP = ("help", "help me", "somebody help", "help help")
_LIMB = r"(?:hands?|fingers?|thumb|arm|foot|leg|sleeve|hair|glove|jacket|tie|eyes?|face)"
_OWN = r"(?:my|his|her|one|a|the helper's)"
_HELD = r"(?:stuck|trapped|caught|pinched|jammed|crushed|cut|burn\w*|bleeding|hurts?|broken)"
_TAKES = r"(?:caught|trapped|pinched|crushed|took|grabbed|pulled in|cut|burn(?:t|ed)|hurt|scalded|broke|bit)"
_HURT = re.compile(
    rf"\b{_OWN} {_LIMB}(?:\s+(?!not\b|never\b)[a-z]+){{0,2}}?\s+{_HELD}\b|\b{_TAKES} (?:off )?{_OWN} {_LIMB}\b"
    r"|\b(?:i|he|she|somebody|someone|we|helper) (?:am|is|are|got|was|have been) (?:hurt|injured|bleeding|trapped"
    r"|electrocuted|dizzy|fainting)\b"
    r"|\b(?:i|he|somebody|someone|helper) (?:am|is|got|was) (?:burn(?:t|ed)|shocked|zapped)\b"
    r"|\b(?:got|had|felt) (?:a |an )?(?:bad |nasty |electric |electrical )*(?:shock|zap|jolt|belt off)\b"
    r"|\b(?:it|that|the coil|the lead|she) (?:shocked|zapped|bit|burned|burnt|hit) me\b"
    r"|\b(?:acid|fuel|petrol|gas|gasoline|fluid|something) (?:is |got )?in (?:my|his|her) (?:eyes?|face|mouth)\b"
    r"|\bi (?:feel|am feeling) (?:sick|dizzy|faint)\b|\bcall (?:an ambulance|for help|the fire brigade)\b"
)
_SOMEBODY = (
    r"(?:somebody(?: else)?|someone(?: else)?|he|she|they|people|kids|children"
    r"|(?:(?:my|the|a|an|our|his|her|another|one of the) )?(?:little |young )?(?:man|woman|kid|child|boy|girl|person"
    r"|mate|colleague|helper|apprentice|trainee|lad|boss|customer|owner|friend|buddy|son|daughter|brother|sister|wife|husband"
    r"|dad|father|neighbou?r|dog))"
)
_IS = r"(?:is |are |has |have |got |just |still |now |right |back )*"
_DEEP = r"(?:(?:the|my|his|her|a|that) )?(?:cooling )?"
_TURNING = r"(?:belts?|fan|engine|engine bay|pulleys?|motor|blades?)"
_VEHICLE = r"(?:car|it|engine|van|truck|hood|bonnet)"
_NEAR = re.compile(
    rf"\b{_SOMEBODY} {_IS}(?:under|underneath|beneath|in front of|behind|in the way)(?: {_DEEP}{_VEHICLE})?\b"
    rf"|\b{_SOMEBODY} {_IS}(?:at the front|at the back|(?:lying|crawling|working|sliding) under\w*)\b"
    rf"|\b{_SOMEBODY} {_IS}(?:at|by|near|close to|next to|in|touching) {_DEEP}{_TURNING}\b"
    rf"|\b{_SOMEBODY} {_IS}(?:leaning|reaching|bending|hanging|climbing) (?:right )?(?:over|into|in|across|under)\b"
    rf"|\b{_SOMEBODY} {_IS}looking (?:right )?(?:over|into|in|across|under) {_DEEP}{_TURNING}\b"
    rf"|\b{_SOMEBODY} {_IS}(?:got )?(?:his|her|their|my|a|both) {_LIMB} in\b"
    rf"|\b{_OWN} {_LIMB} (?:is |are |got )?(?:in|under) (?:the )?(?:belts?|fan|pulley|gears?|wheel|car)\b"
    r"|\bi am (?:still )?(?:under|underneath) (?:the )?(?:car|it|engine|van|truck)\b"
)
"""Where nothing may turn or spark until everybody is clear."""
_ARE_CLEAR = re.compile(
    r"(?:(?:ok|okay|right|yes|yeah|yep|all right|so|now|and|it is fine|fine) )*"
    rf"(?:(?:{_SOMEBODY}|everybody|everyone|we) (?:is |are |has |have |just |all |now |got )*"
    r"(?:clear|safe|away|gone|moved away|moved back|stepped back|out|out of (?:there|it)|out of the (?:way|engine bay)"
    r"|out from (?:under|underneath)(?: (?:it|the car|there))?|clear of (?:it|the (?:car|engine|fan|belts?)))"
    r"(?: now| again)?|all clear(?: now)?)"
)
"""Said as a whole where somebody was told to be there."""
CLEAR = ("everybody is clear", "everybody-clear")
"""How it is kept that they are, and the word of `procedure.condition` that it makes so."""
_NOT_STOP = r"(?:will not|won't|would not|wouldn't|does not|doesn't)"
_RUNS_ON = re.compile(
    rf"\b(?:starter|starter motor|it|engine|motor|she) (?:just |still )*{_NOT_STOP}"
    r" (?:stop (?:turning|cranking|spinning|running|revving)|switch off|shut off|turn off|shut down)\b"
    rf"|\bstarter(?: motor)? (?:just |still )*{_NOT_STOP} (?:stop|let go|disengage)\b"
    r"|\bstarter(?: motor)? (?:is |has |just |still )*(?:stuck on|jammed on|welded on|runs on)\b"
    r"|\b(?:keeps?|kept|still|is|carries on) (?:on )?(?:turning|cranking|running|spinning)"
    r" (?:after|with|without|though) (?:i |the |my )(?:let go|released|key)\b"
    r"|\b(?:it|engine|she) (?:is )?(?:revs|revving|racing) (?:up )?(?:by itself|on its own|like mad|flat out)\b"
    r"|\b(?:it|she) is racing\b"
)
"""What turns though nobody holds the key."""
_ROLLS = r"(?:moved|moving|moves|rolled|rolling|rolls|lurched|lurches|creeping|crept|jumped|jerked|slipping)"
_AWAY = r"(?:forwards?|backwards?|back|ahead|away|off|down|by itself|on its own|on me)"
_MOVES = re.compile(
    rf"\b(?:car|truck|van|vehicle) (?:has |is |just )*{_ROLLS}\b"
    rf"|\b(?:it|she) (?:has |is |just )*{_ROLLS} {_AWAY}\b|\b(?:it|she) is rolling$"
    r"|\b(?:it|she|engine) (?:is )?(?:running|ran|runs) away\b"
    r"|\b(?:car|it|she) can roll\b|\b(?:took|taken|pulled|kicked) (?:out )?the (?:chocks?|wedges?|blocks)\b"
    r"|\b(?:chocks?|wedges?) (?:are |is )?(?:out|away|gone|off)\b"
    r"|\b(?:hand ?brake|parking brake|brake) is (?:off|not on|not set|released)\b"
    r"|\b(?:hand ?brake|parking brake) (?:does not|doesn't|will not|won't|is not|isn't) (?:work\w*|hold\w*|set|on)\b"
    r"|\bno (?:hand ?brake|parking brake|chocks?)\b"
    r"|\b(?:(?:wheels?|car) (?:is not|are not|isn't|aren't) (?:chocked|blocked)|(?:is not|isn't) chocked)\b"
    r"|\b(?:i am|we are|car is|it is|parked|stands?|standing|sits?|sitting|here) (?:here )?(?:up )?on"
    r" (?:a |an |the |my |his |her )?(?:steep |slight |bit of a )*(?:slope|hill|incline|ramp|gradient|sloping \w+)\b"
    r"|\bon (?:a |the |one )?(?:trolley |floor |bottle |scissor )?jack\b(?! ?stands?)"
    r"|\b(?:is|still|it|she|was) (?:still )?in gear\b|\b(?:jack|stand) (?:is |has )?(?:slipp\w+|sinking|collaps\w+)\b"
)
"""Bare, "it rolled over" is said of an engine that cranked."""

_IMPLANT = re.compile(
    r"\b(?:pace ?maker|defibrillator|(?:heart|cardiac) (?:implant|device)|implant (?:in|for|on) (?:my|his|her) heart"
    r"|insulin pump|(?:have|got|with|has) (?:a |an |got )*implant)\b"
)


def has_an_implant(said: Sequence[str]) -> bool:
    """Whether these plain words tell of a pacemaker or another device that ignition can upset."""
    return told_of(" ".join(spelled_out(said)), _IMPLANT)


def is_on_fire(said: Sequence[str]) -> bool:
    """Whether these plain words cry fire, which is no text that anybody dictates."""
    return says(said, _ON_FIRE)


def tells_a_fire(said: Sequence[str]) -> bool:
    """Whether these plain words say that something burns or smokes: as a whole, or of a part among other words."""
    return says(said, _ON_FIRE, _FIRE) or smokes_somewhere(" ".join(said))


def smokes_somewhere(words: str) -> bool:
    """Whether these words tell somewhere of smoke from a part of the car."""
    said = " ".join(spelled_out(re.sub(r"[^a-z' ]+", " / ", words.lower()).split()))
    return _EXHAUST.search(said) is None and told_of(said, _SMOKES)


def tells_of_somebody_near(said: Sequence[str]) -> bool:
    """Whether these plain words tell of somebody under the car, or where something turns or sparks."""
    return told_of(" ".join(spelled_out(said)), _NEAR)


def tells_all_are_clear(said: Sequence[str]) -> bool:
    """Whether these plain words, as a whole, say that whoever was there is clear."""
    return _ARE_CLEAR.fullmatch(" ".join(spelled_out(said))) is not None


def tells_of_somebody(said: Sequence[str]) -> bool:
    """Whether these plain words tell of somebody hurt or caught, or call for help."""
    words = " ".join(spelled_out(said))
    return words in _HELP or told_of(words, _HURT)


def tells_it_runs_on(said: Sequence[str]) -> bool:
    """Whether these plain words tell of a starter or an engine that turns on though it should not."""
    return _RUNS_ON.search(" ".join(spelled_out(said))) is not None


def tells_it_moves(said: Sequence[str]) -> bool:
    """Whether these plain words tell of a car that moves, or may."""
    return told_of(" ".join(spelled_out(said)), _MOVES)

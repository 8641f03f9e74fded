"""What stops everything, whatever is asked: fire and smoke, who is hurt or caught, and a car that moves.

Fire and smoke are whole sentences, for smoke is an answer to many a question; who is hurt is looked for anywhere in
what answers nothing. Plain English, our own choice; no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.language.dangers import says, spelled_out, told_of

_ON_FIRE = """
    [oh | hey | help | stop] ( fire [fire] | [there is | i see] [a] fire | [it | something | she | the (car | engine |
    wiring | battery | starter | fuel)] (is on fire | is burning | caught fire | is catching fire) )"""
_FIRE = """
    [oh | hey | help | stop] ( (smoke | flames) [everywhere]
    | [i | we] [can see | see | have | have got | got | there is | there are]
    [a | some] (fire | flames | smoke) [coming out | coming up | in here | under the bonnet | under the hood | here]
    | [it | it is | something | something is | she | she is | the (engine | starter | wiring | wire | cable | battery
    | loom | fuel | car)] [is | has | just] [just] [starting to] (smoking | smokes | smoke | burning | burns | on fire
    | melting | caught fire | catching fire | caught light)
    | [i] (smell | can smell) [something] (burning | smoke) | [it] smells (of | like) (burning | smoke) )"""

_HELP = ("help", "help me", "somebody help", "help help")
_LIMB = r"(?:hands?|fingers?|thumb|arm|foot|leg|sleeve|hair|glove|jacket|tie|eyes?|face)"
_OWN = r"(?:my|his|her|one|a|the helper's)"
_HELD = r"(?:stuck|trapped|caught|pinched|jammed|crushed|cut|burn\w*|bleeding|hurts?|broken)"
_TAKES = r"(?:caught|trapped|pinched|crushed|took|grabbed|pulled in|cut|burn(?:t|ed)|hurt|scalded|broke|bit)"
_HURT = re.compile(
    rf"\b{_OWN} {_LIMB}(?:\s+(?!not\b|never\b)[a-z]+){{0,2}}?\s+{_HELD}\b|\b{_TAKES} (?:off )?{_OWN} {_LIMB}\b"
    rf"|\b{_OWN} {_LIMB} (?:is |are |got )?(?:in|under) (?:the )?(?:belts?|fan|pulley|gears?|wheel|car)\b"
    r"|\b(?:i|he|she|somebody|someone|we|helper) (?:am|is|are|got|was|have been) (?:hurt|injured|bleeding|trapped"
    r"|electrocuted|dizzy|fainting)\b"
    r"|\b(?:i|he|somebody|someone|helper) (?:am|is|got|was) (?:burn(?:t|ed)|shocked|zapped)\b"
    r"|\b(?:got|had|felt) (?:a |an )?(?:bad |nasty |electric |electrical )*(?:shock|zap|jolt|belt off)\b"
    r"|\b(?:it|that|the coil|the lead|she) (?:shocked|zapped|bit|burned|burnt|hit) me\b"
    r"|\b(?:somebody|someone|he|she|they|a (?:man|kid|child|person)|(?:my|the) (?:mate|helper|boss|customer|kid|dog)) "
    r"(?:is |are )?(?:under|in front of|behind|in the way|at the front|at the back|near the fan|in the engine bay)\b"
    r"|\b(?:acid|fuel|petrol|gas|gasoline|fluid|something) (?:is |got )?in (?:my|his|her) (?:eyes?|face|mouth)\b"
    r"|\bi (?:feel|am feeling) (?:sick|dizzy|faint)\b|\bcall (?:an ambulance|for help|the fire brigade)\b"
)
_ROLLS = r"(?:moved|moving|moves|rolled|rolling|rolls|lurched|lurches|creeping|crept|jumped|jerked|slipping)"
_AWAY = r"(?:forwards?|backwards?|back|ahead|away|off|down|by itself|on its own|on me)"
_MOVES = re.compile(
    rf"\b(?:car|truck|van|vehicle) (?:has |is |just )*{_ROLLS}\b"
    rf"|\b(?:it|she) (?:has |is |just )*{_ROLLS} {_AWAY}\b|\b(?:it|she) is rolling$"
    r"|\b(?:it|she|engine) (?:is )?(?:running|ran|runs) away\b"
    r"|\b(?:car|it|she) can roll\b|\b(?:took|taken|pulled|kicked) (?:out )?the (?:chocks?|wedges?|blocks)\b"
    r"|\b(?:chocks?|wedges?) (?:are |is )?(?:out|away|gone|off)\b"
    r"|\b(?:hand ?brake|parking brake|brake) is (?:off|not on|not set|released)\b"
    r"|\b(?:is|still|it|she|was) (?:still )?in gear\b|\b(?:jack|stand) (?:is |has )?(?:slipp\w+|sinking|collaps\w+)\b"
)
"""Bare, "it rolled over" is said of an engine that cranked."""


def is_on_fire(said: Sequence[str]) -> bool:
    """Whether these plain words cry fire, which is no text that anybody dictates."""
    return says(said, _ON_FIRE)


def tells_a_fire(said: Sequence[str]) -> bool:
    """Whether these plain words say, as a whole, that something burns or smokes."""
    return says(said, _ON_FIRE, _FIRE)


def tells_of_somebody(said: Sequence[str]) -> bool:
    """Whether these plain words tell of somebody hurt, caught or in the way, or call for help."""
    words = " ".join(spelled_out(said))
    return words in _HELP or told_of(words, _HURT)


def tells_it_moves(said: Sequence[str]) -> bool:
    """Whether these plain words tell of a car that moves, or may."""
    return told_of(" ".join(spelled_out(said)), _MOVES)

"""That it stopped with a bang, and that it was turned by hand since and turns freely, told anywhere in the words.

A backfire, a door or a tyre that bangs tells nothing of the timing belt. Plain English, our own choice; no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.language.dangers import spelled_out, told_of

BANGED, FREE = ("a bang as it stopped", "banged"), ("it turns freely by hand", "turned-by-hand")
"""What is noted, and the word of `procedure.condition` that it makes so."""

BINDS = "the engine does not turn by hand"
"""The clause that it is told with, as after "I found": what a fault model calls the result that shows it."""
LIGHT = "the engine turns too lightly by hand"
"""The clause of an engine without compression, told so."""
BY_HAND, STUCK, LIGHTLY = "by-hand", "stuck", "light"
"""The test of a fault model that shows it, and its results."""

_NOISE = r"(?:bang|crunch|snap|clatter)"
_STOPPED = (
    r"(?:stop(?:s|ped)?|died|dies|quit(?:s)?|cut(?:s)? out|went dead|dead|nothing|stalled|seized|packed up|gave up"
    r"|silence|shut (?:off|down)|that was it|won't|wouldn't|never|didn't)"
)
_FEW = r"(?:\s+(?!but\b|fine\b|ran\b|runs\b)[a-z']+){0,6}?\s+"
_A_BANG = rf"(?:{_NOISE}|banged|went bang|snapped|let go with a {_NOISE})"
_A_NOISE = re.compile(r"\b(?:bang|crunch|snap|clatter|clunk|crack|pop)\w*|\bbelt\b|\bchain\b")
_BANG = re.compile(
    rf"\b{_A_BANG}\b{_FEW}{_STOPPED}\b|\b{_STOPPED}\b{_FEW}(?:with|after|on|and) (?:a |one |an )?(?:\w+ )?{_NOISE}\b"
    r"|\b(?:timing |cam )?(?:belt|chain) (?:has |is |just |must have )*"
    r"(?:snapped|torn|tore|broke|broken|let go|went|ripped)\b"
)
_OTHER = re.compile(
    r"\b(?:back ?fir\w*|door|tyre|tire|exhaust|hood|bonnet|boot|trunk|starter|fuse|jump\w*|alternator|fan|serpentine"
    r"|accessory|drive) ?(?:belt)?\b"
)
_HAND = r"(?:by hand|with (?:a |the )?(?:spanner|wrench|socket|ratchet|breaker bar)|on the (?:crank )?(?:bolt|pulley))"
_WELL = r"(?:free(?:ly)?|fine|okay|normal(?:ly)?|smooth(?:ly)?|as usual|easily enough|all right)"
_FREELY = re.compile(
    rf"\bturn(?:s|ed|ing)?\b(?:\s+[a-z']+){{0,6}}?\s+{_HAND}\b{_FEW}{_WELL}\b"
    rf"|\bturn(?:s|ed)?\b(?: over| round| all the way)? {_WELL} {_HAND}\b"
)
_NOT = r"(?:won't|wouldn't|doesn't|didn't|can't|cannot|couldn't|(?:will|would|does|did|could) not)"
_MOVE = r"(?:turn|budge|move|rotate|shift|spin)"
_HELD = (
    r"(?:binds?(?: up)?|binding|bound up|locks?(?: up| solid)?|locked|jams?|jammed|sticks|stuck|seized|solid"
    r"|stops (?:hard|dead|solid))"
)
_HOLDS = re.compile(
    rf"\b{_NOT} (?:even |really )?{_MOVE}\b(?: (?:it|her|the (?:engine|crank|motor|thing)))?(?: over| round)?"
    rf"(?: at all| an inch| one bit)? {_HAND}"
    rf"|\b{_HELD} (?:when (?:i |you |we )?(?:turn\w*|turning)(?: it)? )?{_HAND}"
    rf"|\b{_HAND}(?:,| and| but| it| she| is| then)* (?:just )?(?:{_HELD}|{_NOT} (?:even )?{_MOVE})\b"
    rf"|\bturn(?:s|ed|ing)?\b(?:\s+[a-z']+){{0,6}}?\s+{_HAND}(?:\s+(?!not\b|never\b|[a-z]+n't\b)[a-z']+){{0,4}}?\s+{_HELD}\b"
    r"|^(?:no )?(?:it|she|engine|the engine|motor|the motor|the crank)(?: is| just| still)* (?:binds|binding|bound up)"
    r"(?: up| solid| (?:once|twice) (?:a|every|each|per) turn| every turn| half ?way(?: round)?)?$"
)
"""Turned by hand it holds; or bare, that it binds."""
_TURN = r"(?:turn(?:s|ed|ing)?|spin(?:s|ning)?|spun|rotat(?:es?|ed|ing)|goes round|roll(?:s|ed)?)"
_NOTHING = r"(?:no|without(?: any)?|not any|zero|not a bit of|hardly any|lost|lost all|lacks)"
_FORCE = r"(?:compression|resistance|spring(?: back)?|push back)"
_TOO = r"(?:too|far too|much too|way too|awfully|suspiciously|unusually|strangely|oddly)"
_LIGHTLY = r"(?:light(?:ly)?|easy|easily|free(?:ly)?|loose(?:ly)?)"
_LIGHT = re.compile(
    rf"\b{_TURN}\b(?:\s+(?!not\b|never\b)[a-z']+){{0,4}}?\s+{_TOO} {_LIGHTLY}(?:\s+[a-z']+){{0,5}}?\s+{_HAND}"
    rf"|\b{_HAND}(?:\s+(?!not\b|never\b|[a-z]+n't\b)[a-z']+){{0,4}}?\s+{_TOO} {_LIGHTLY}\b"
    rf"|\b{_NOTHING} {_FORCE}\b(?:\s+[a-z']+){{0,8}}?\s+{_HAND}"
    rf"|\b{_HAND}(?:\s+[a-z']+){{0,8}}?\s+{_NOTHING} {_FORCE}\b"
)
_OF_ANOTHER = re.compile(
    rf"\b(?:bolt|nut|plug|pedal|key|clamp|cap|screw|wheel|fan|alternator|pump)s?(?: is| just| still)*"
    rf" (?:{_NOT}|{_HELD})\b"
)
_BINDS = re.compile(r"\b(?:not|never|no|but|binds?|sticks?|stuck|locks?|locked|tight|stops|too|[a-z]+n't)\b")


def tells_a_bang(words: str) -> bool:
    """Whether these words tell somewhere that it stopped with a bang, or that what drives the cam tore."""
    return not _OTHER.search(words.lower()) and told_of(_plain(words), _BANG)


def turns_freely(words: str) -> bool:
    """Whether these words say that it turns by hand as it should."""
    said = _plain(words)
    return _BINDS.search(said) is None and _FREELY.search(said) is not None


def lacks_the_bang(words: str, phrases: Sequence[str]) -> bool:
    """Whether these words name no noise and nothing that tears, where each phrase of a result names the bang."""
    return all("bang" in each for each in phrases) and _A_NOISE.search(words.lower()) is None


def binds_by_hand(words: str) -> bool:
    """Whether these words say that turned by hand it binds or does not move."""
    said = _plain(words)
    return _OF_ANOTHER.search(said) is None and told_of(said, _HOLDS)


def light_by_hand(words: str) -> bool:
    """Whether these words say that turned by hand it spins too lightly, or without any compression."""
    said = _plain(words)
    return _OF_ANOTHER.search(said) is None and told_of(said, _LIGHT)


def _plain(words: str) -> str:
    return " ".join(spelled_out(re.sub(r"[^a-z' ]+", " ", words.lower()).split()))

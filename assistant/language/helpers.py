"""That a second person is here to turn the key, or has gone again, told out of turn.

Who is spoken to ("it cranks, mate"), what somebody did before and who only stands there are none. Plain English, our
own choice; no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.language.dangers import spelled_out

HERE, GONE = ("a helper is here", "helper"), ("you are alone again", "alone")
"""What is noted, and the word of `procedure.condition` that it makes so."""

_WHO = (
    r"(?:(?:my|the|a|an|our|another|some|one) )?(?:other |second |young |new )?(?:mate|colleague|helper|apprentice"
    r"|trainee|lad|buddy|friend|partner|wife|husband|girlfriend|boyfriend|brother|sister|son|daughter|dad|father|neighbou?r"
    r"|second (?:man|person|pair of hands)|somebody|someone|pair of hands)"
)
_NOW = (
    r"(?:now|here|right here|with me|back|around|by|in|free|ready|finally|at last|just|come|arrived|turned up|to help)"
)
_TURNS = (
    r"(?:crank\w*|turn\w*|start\w*|work\w*|do\w*|hit\w*|hold\w*|press\w*) (?:it|her|the (?:key|engine|starter|ignition"
    r"|button|car|cranking))"
)
_WILL = r"(?:will|can|could|is going to|is gonna|is happy to|wants to|is here to|is there to|to)"
_SEAT = r"(?:at the (?:key|wheel)|in (?:the )?(?:car|cab|seat|driver seat|driver's seat|driving seat)|behind the wheel)"
_PAST = r"(?:now|again|back)"

_IS_HERE = re.compile(
    rf"\b{_WHO} (?:is |has |just )*(?:{_NOW}\b|{_SEAT})"
    rf"|\b(?:{_WHO}|he|she|they) {_WILL} {_TURNS}\b"
    rf"|\b(?:have|got|have got|found) {_WHO} (?:{_NOW}|{_SEAT}|to {_TURNS})"
    r"|\b(?:have|got|have got) (?:a |my |the )?(?:helper|help|second (?:man|person|pair of hands)|apprentice)"
    r" ?(?:now|here|with me)?$"
    r"|\b(?:there is|there are|we are|it is) (?:now )?two of us\b|\btwo of us (?:now|here)\b"
)
_HAS_GONE = re.compile(
    rf"\b{_WHO} (?:is |has |just |had to |needs to |must )*(?:gone|left|leave|go|went|off)(?: \w+)?$"
    rf"|\b(?:i am|it is) (?:all |just )?(?:alone|on my own|by myself|me) {_PAST}$"
)
_NOT_NOW = re.compile(
    r"\b(?:no|not|never|nobody|without|cannot|wish|if|tomorrow|later|soon|yesterday|earlier|before|was|were|would|[a-z]+n't)\b"
)


def is_here(said: Sequence[str]) -> bool:
    """Whether these plain words tell that somebody is here to turn the key."""
    words = _words(said)
    return _NOT_NOW.search(words) is None and _IS_HERE.search(words) is not None


def has_gone(said: Sequence[str]) -> bool:
    """Whether these plain words tell that whoever helped is gone."""
    words = _words(said)
    return _NOT_NOW.search(words) is None and _HAS_GONE.search(words) is not None


def _words(said: Sequence[str]) -> str:
    words = re.sub(r"[^a-z' ]+", " ", " ".join(said))
    return re.sub(r"(?<=[a-z])'(?:ll|d)\b", " will", " ".join(spelled_out(words.split())))

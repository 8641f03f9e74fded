"""What passes a caution or a gate: its own phrases, and the question it asks turned into a statement. Pure.

"Are the wheels chocked?" is passed by "the wheels are chocked". It is worked out from the question by rule, so that it
is a fixed list as its phrases are: nothing passes by being like one. A question that is not of this form gives none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from types import MappingProxyType

from assistant.procedure.model import Caution, Gate

MOST_WORDS = 8
"""No longer statement is listened for: a phrase must be easy to say. Source: judgement, as for phrases."""

_LAST_QUESTION = re.compile(r"(?:^|[.!?] )(is|are) ([^.!?]+)\?$")
_STATE = (
    r"(?:on|off|out|in|down|up|away|clear|set|cool|tight|closed|dry|free|sound|blocked|chocked|stopped|clamped|fitted"
    r"|mended|unplugged)\b"
)
_PARTS = re.compile(rf"(?P<subject>[a-z' ]+?) (?P<state>{_STATE}[a-z ]*)")
_OR_OTHER = re.compile(r", or (?=the )")
_YOUR = re.compile(r"\byour\b")
_ARTICLE = re.compile(r"^(?:the|my) ")
_PRONOUNS = frozenset(("it", "they", "that", "all"))
_STATED = re.compile(r"^(?!the |my |every |it |i |they |nothing |no )(?=[a-z' ]+ (?:is|are) )")
_SHORT = {"it is": "it's", "they are": "they're", "i am": "i'm", "it cannot": "it can't", "engine has": "engine's"}


_EYES = ("glasses are on", "goggles are on", "glasses on", "goggles on")
_FLAME = ("no flames near", "no flame around")
_DOORS = ("door is open", "doors are wide open", "garage door is open")
SAID_BESIDES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "selector-checked": ("in park", "in neutral", "car is in park", "car is in neutral", "gearbox is in park"),
        "brake-set": ("brake is on", "brakes are on", "parking brake on", "handbrake on"),
        "wheels-chocked": ("chocks are in", "wheels chocked", "both wheels are chocked", "both chocks are in"),
        "no-smell": ("no smell", "no smell of fuel", "i smell nothing", "nothing smells"),
        "hands-clear": ("hands clear", "i am clear", "face and hands are clear"),
        "everybody-clear": (
            "he is clear",
            "she is clear",
            "they are clear",
            "we are all clear",
            "we are clear",
            "nobody is near",
            "he is out of the way",
            "she is out of the way",
            "they are out of the way",
            "everybody is out of the way",
        ),
        "all-dry": ("all dry", "bone dry", "dry all over"),
        "can-away": ("can is out", "can is put away"),
        "engine-stopped": ("engine is off", "engine has stopped"),
        "battery-gas": _EYES,
        "battery-clamp": _EYES,
        "fuel-pressure": _EYES,
        "roll-away": ("it won't roll",),
        "fuel-vapour": _FLAME,
        "spray-fire": _FLAME,
        "start-up": _DOORS,
        "running-engine": _DOORS,
    }
)
"""Gate or caution that stands in many files -> what technicians say for it besides. Each says the state
that is asked for, and none has a twin that denies it by one sound ("can", "can't").
Source: common practice, no source."""


def passes(part: Caution | Gate) -> tuple[str, ...]:
    """All that passes it, each in plain words: the phrases it was given first."""
    said = (*part.acknowledge, *SAID_BESIDES.get(part.id, ()))
    return _passes(said, part.say if isinstance(part, Gate) else "")


@lru_cache(maxsize=512)
def _passes(acknowledge: tuple[str, ...], asked: str) -> tuple[str, ...]:
    said = [*acknowledge, *affirmed(asked)]
    said += [f"the {words}" for words in said if _STATED.search(words)]
    said += [drawn for words in said for drawn in _drawn_together(words)]
    return tuple(dict.fromkeys(words for words in said if len(words.split()) <= MOST_WORDS))


def affirmed(asked: str) -> tuple[str, ...]:
    """The last question of a text as statements: of an "or" either half, since either makes it so; none where it is no
    such question, or one of two things that must both be so."""
    question = _LAST_QUESTION.search(asked.lower())
    if question is None:
        return ()
    verb, halves = question[1], _OR_OTHER.split(question[2])
    return tuple(dict.fromkeys(words for half in halves for words in _stated(verb, half)))


def names_its_state(part: Gate) -> bool:
    """Whether something that passes it says the state that its question asks for; True where we know none."""
    question = _LAST_QUESTION.search(part.say.lower())
    asked = set(re.findall(_STATE, question[2])) if question else set[str]()
    return not asked or any(asked.intersection(words.split()) for words in passes(part))


def _stated(verb: str, half: str) -> Iterator[str]:
    """The statements of one half: whole, without its article, and with "it" where the state alone is no bare word."""
    parts = _PARTS.fullmatch(_YOUR.sub("my", half))
    if parts is None:
        return
    subjects, state = parts["subject"].split(" or "), parts["state"]
    if any(subject in _PRONOUNS for subject in subjects):
        return
    for subject in subjects:
        bare = _ARTICLE.sub("", subject)
        yield from (f"{bare} {verb} {state}", f"{subject} {verb} {state}")
    if len(state.split()) > 1:  # "it's off" may be said of anything
        yield f"it {verb} {state}" if verb == "is" else f"they {verb} {state}"


def _drawn_together(words: str) -> Iterator[str]:
    """The phrase as most say it: "it's in park"."""
    for whole, short in _SHORT.items():
        if words.startswith(f"{whole} "):
            yield short + words.removeprefix(whole)

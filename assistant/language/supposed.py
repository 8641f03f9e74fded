"""What is supposed, and what is to be reminded of, in one's own words: "and if it's got no spark, then what?". Pure."""

from __future__ import annotations

import re

from assistant.language.commanded import bare_result
from assistant.language.model import Expected
from assistant.language.plain import plain_words

_SUPPOSES = re.compile(
    r"^(?:and |so |but |okay )*"
    r"(?:(?P<asks>what if|what happens if|what would it be if|what about if|suppose|supposing)|if|say) "
)
_THEN = re.compile(r"(?: then)?(?: what(?: then| now| next)?| what would (?:it be|you (?:think|do|say)))$")
_OF_THE_CAR = re.compile(r"^(?:it|she|he|the car|this) (?:has(?: got)?|does not have(?: a| any)?|is) ")
_HAS_NOT = re.compile(r"^(?:it|she|he|the car|this) (?:does not|do not|has not|have not) (?:have|got)(?: a| any| no)? ")
_REMINDS = re.compile(
    r"\b(?:remind|wake|ping) (?:me|us)\b.* (?:in|at|after|when)\b|\bset (?:me |us )?(?:a|an|the) (?:timer|alarm)\b"
    r"|\b(?:shout|call|holler at|tell|give|let) (?:me|us)\b.* (?:in|after|when) .*\b(?:minutes?|hours?|seconds?)\b"
    r"|\b(?:in|after) .*\b(?:minutes?|hours?) (?:please )?remind (?:me|us)\b"
)


def supposed_meant(words: str, expected: Expected) -> str | None:
    """The "test=result" that these plain words suppose and ask about; None where they do not, or no test shows that."""
    begun = _SUPPOSES.match(words)
    if begun is None or not expected.questions:
        return None
    rest = words[begun.end() :]
    clause = _THEN.sub("", rest)
    if begun["asks"] is None and clause == rest:
        return None  # "if there is no spark" alone asks nothing
    known = {bare_result(each): key for key, said in expected.supposed.items() for each in said}
    bare = bare_result(clause)
    ways = (bare, bare.removeprefix("got "), _OF_THE_CAR.sub("", bare), _HAS_NOT.sub("no ", bare))
    return next((known[bare_result(way)] for way in ways if bare_result(way) in known), None)


def supposes(words: str) -> bool:
    """Whether they ask what would be if something were so."""
    begun = _SUPPOSES.match(words)
    return begun is not None and begun["asks"] is not None


def asks_for_a_reminder(text: str) -> bool:
    """Whether a call after some time is asked for, or a timer."""
    return _REMINDS.search(plain_words(text)) is not None

"""Short forms of what a step says: what they may never leave out, so that to say less is not to warn less.

A short form says no other number, keeps each unit and each prohibition, and does the same to key and ignition.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from assistant.procedure.condition import begun, finished
from assistant.procedure.model import Step

_NUMBER = re.compile(
    r"\d+(?:\.\d+)?|\b(?:one(?! hand)|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty"
    r"|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand|half|quarter|twice|once|both)\b"
)
_UNIT = re.compile(
    r" (?:seconds?|minutes?|hours?|days?|weeks?|volts?|millivolts?|amps?|milliamps?|ohms?|litres?|millilitres?"
    r"|(?:milli|centi)?met(?:re|er)s?|inch(?:es)?|p s i|bar|kilopascals?|percent|degrees?|r p m)\b"
)
_PROHIBITION = re.compile(r"\b(?:not|never|no|nobody|nothing|without|leave (?:off|(?:\w+ ){1,3}alone))\b|n't\b")
_SENTENCE = re.compile(r"[^.!?]+[.!?]?")


def told(step: Step) -> str:
    """All that the step tells in full: what to do, and how one person does it."""
    return f"{step.say} {step.alone or ''}".strip()


def weighty(text: str) -> bool:
    """Whether the text holds what no short form may leave out."""
    return any(_numbers(text)) or any(_units(text)) or _prohibitions(text) > 0


def lost(step: Step, short: str) -> tuple[str, ...]:
    """What the short form of the step leaves out or changes, in words; empty where it may stand for the whole."""
    full, missing = told(step), []
    for found in (_numbers, _units):
        gone, new = Counter(found(full)) - Counter(found(short)), Counter(found(short)) - Counter(found(full))
        missing += [f"'{each}'" for each in gone]
        missing += [f"'{each}', which the whole does not say" for each in new]
    if _prohibitions(short) < _prohibitions(full):
        missing.append("a prohibition")
    spoken = replace(step, say=short)
    if (begun(spoken), finished(spoken)) != (begun(step), finished(step)):
        missing.append("what becomes of the key")
    return tuple(missing)


def _numbers(text: str) -> Iterable[str]:
    return (found.group() for found in _NUMBER.finditer(text.lower()))


def _units(text: str) -> Iterable[str]:
    """Units that stand behind a number: a "meter" alone is a tool."""
    after = ((text.lower()[found.end() :], found) for found in _NUMBER.finditer(text.lower()))
    return (unit.group().strip().rstrip("s") for rest, _ in after if (unit := _UNIT.match(rest)))


def _prohibitions(text: str) -> int:
    """How often something is forbidden; a question forbids nothing."""
    orders = (part for part in _SENTENCE.findall(text.lower()) if not part.rstrip().endswith("?"))
    return sum(len(_PROHIBITION.findall(part)) for part in orders)

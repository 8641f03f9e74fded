"""What each of the three ways to speak leaves out, and what none may.

In every way: the signal word, each caution in full the first time in a job and whenever what it guards against has
become so since; every number, unit and prohibition (`procedure.short_form`); rests, releases and refusals as they are.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.english import bursts, prompts
from assistant.language.manner import Manner
from assistant.procedure.condition import CHANGING, Condition
from assistant.procedure.forbidden import ROWS
from assistant.procedure.model import Caution, Hazard, Step
from assistant.procedure.remedies import FORBIDDING
from assistant.procedure.short_form import weighty

TOLD_FOR_S = 1_800.0
"""A caution told longer ago than this is told in full again. Source: judgement."""


def say_of(step: Step, manner: Manner) -> tuple[str, str]:
    """What to do and how one person does it, in this manner; the second only where nothing shorter stands for both."""
    if manner is Manner.FULL:
        return step.say, step.alone or ""
    short = (step.tersely if manner is Manner.TERSE else None) or step.briefly
    if short:
        return short, ""
    alone = step.alone or ""
    return step.say, alone if weighty(alone) else ""


def way_there(walk: str, manner: Manner, *, first: bool, helped: bool) -> str:
    """The time to get to the key, or where a helper sits there, out of the way; `first`: of the job."""
    if helped:
        return bursts.step_clear(walk)
    if manner is Manner.FULL:
        return bursts.walk(walk)
    return bursts.walk_known(walk) if first else bursts.walk_again(walk)


Told = tuple[str, str, str, str]
"""A caution by its id and its words: the same words under the same id need no second telling."""


def told_as(caution: Caution) -> Told:
    """What a caution is known by once it was told."""
    return (caution.id, caution.hazard, caution.avoid, caution.consequence)


def guarded(covers: Iterable[Hazard]) -> frozenset[Condition]:
    """What of car and bay makes these hazards worse. Key and fuel pressure change with every step and tell nothing."""
    hazards = frozenset(covers)
    so = {condition for work, condition, _, _ in ROWS if work & hazards}
    so |= FORBIDDING if hazards & FUEL else set()
    return frozenset(so) - CHANGING


FUEL = frozenset({Hazard.FUEL_VAPOUR, Hazard.STORED_PRESSURE, Hazard.EXHAUST_GAS})
"""No row of the table forbids these by themselves: whatever comes up makes such a caution be told anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """A caution that was told in full and acknowledged. `guards`: what, once it comes up, makes it be told anew."""

    told: Told
    at_s: float
    guards: frozenset[Condition]


def warned_of(caution: Caution, at_s: float) -> Warned:
    """What is kept of a caution that was told in full and acknowledged then."""
    return Warned(told=told_as(caution), at_s=at_s, guards=guarded(caution.covers))


def is_known(caution: Caution, warned: Iterable[Warned], at_s: float) -> bool:
    """Whether its name is enough by now."""
    told = told_as(caution)
    return any(each.told == told and at_s - each.at_s <= TOLD_FOR_S for each in warned)


_STATE = re.compile(r"(?P<what>.+?) (?P<is>is|are) (?P<so>.+)")


def still(phrase: str) -> str:
    """The phrase of an acknowledgement as a question: "Still no flame near?", "Doors still open?", "Do you still reach
    from above?" """
    if phrase.startswith("i "):
        return prompts.do_you_still(phrase.removeprefix("i "))
    found = _STATE.fullmatch(phrase)
    if found is None:
        return prompts.is_still(phrase)
    return prompts.are_still(found["what"], found["so"])

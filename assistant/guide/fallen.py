"""What a gauge lost since it was first read: asked for as a loss, told as often as the value that it shows now.

What is near the first reading is what the gauge shows, for nothing that lost as much shows a loss so large. Both
figures are read back, since only the technician knows which of them was meant.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.english.heard import ABOUT
from assistant.english.sayings import fell
from assistant.guide.places import Library, step_of, try_key
from assistant.guide.state import Frame, State
from assistant.language.model import GiveReading
from assistant.language.quantities import convert, decimals_of
from assistant.language.reading import THAT_IS, is_rough, shown_by_meter
from assistant.language.speak import say_amount
from assistant.procedure.model import Step

SHOWN_SHARE = 0.5
"""From this share of the first reading on a value is what the gauge shows. Source: judgement; a loss as large is far
beyond any limit, so either way of taking it is read back with the other."""

_LOST = frozenset(("lost", "by", "less", "drop", "loss"))
_SHOWS = frozenset(("shows", "reads", "showing", "reading", "now", "to", "at", "left", "still"))

_DIGITS = 5


def since(step: Step, state: State, procedure: str) -> float | None:
    """The first reading that this one is held against, in the unit of the step; None where there is none."""
    places = (try_key(Frame(procedure=procedure, step=name)) for name in step.falls_from)
    return next((state.readings[place].value for place in places if place in state.readings), None)


def as_fall(library: Library, state: State, given: GiveReading, said: str = "") -> GiveReading:
    """The reading as what was lost since the first, with both figures in its words; as it is where none was first.

    `said`: all that was said, of which "lost" or "shows" tells what was meant.
    """
    step = step_of(library, state)
    first = since(step, state, state.at.procedure)
    if first is None or first <= 0 or step.quantity is None:
        return given
    spoken = given.spoken or say_amount(given.value, given.unit)
    told, unit = shown_by_meter(spoken) or (given.value, given.unit)
    digits = decimals_of(step.quantity, unit)
    before = round(convert(first, given.unit, unit), digits)
    shown = _shown(said, near=told >= SHOWN_SHARE * before)
    lost = max(0.0, before - told) if shown else told
    now = told if shown else max(0.0, before - told)
    fallen, then, there = (say_amount(round(value, digits), unit) for value in (lost, before, now))
    words = f"{fallen}{THAT_IS}{fell(then, there)}"
    return replace(
        given,
        value=float(f"{convert(round(lost, digits), unit, given.unit):.{_DIGITS}g}"),
        spoken=f"{ABOUT} {words}" if is_rough(spoken) else words,
    )


def _shown(said: str, *, near: bool) -> bool:
    """Whether it is what the gauge shows: by the words around it, where they tell, else by its size."""
    words = frozenset(said.lower().split())
    lost, shows = bool(words & _LOST), bool(words & _SHOWS)
    return near if lost == shows else shows

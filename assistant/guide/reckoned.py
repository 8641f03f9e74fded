"""What the guide works out from readings, and the result it proposes. Only ever a proposal: the technician decides.

Two low cylinders are named but no result is proposed: whether they are neighbours depends on how the engine is built.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.english import prompts, sayings
from assistant.guide.places import Library, limits_of, procedure_of, step_of, try_key
from assistant.guide.state import Frame, Mode, State
from assistant.language.numbers import say_whole
from assistant.language.speak import cut_tenths, say_amount
from assistant.language.speech import Sentence
from assistant.procedure.model import COMPRESSION_FLOOR, COMPRESSION_RATIO, Kind, Quantity, Reckoning, Result

LEAST_CYLINDERS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Compression over the cylinders. `values`: by cylinder from the first on. `limit` and `share`: percent.

    `floor`: the least that a cylinder should reach, in the unit of the values.
    """

    values: tuple[float, ...]
    limit: float
    floor: float
    unit: str

    @property
    def share(self) -> float:
        """The lowest over the highest, in percent."""
        return 100.0 * min(self.values) / max(self.values)

    @property
    def low(self) -> tuple[int, ...]:
        """Numbers of the cylinders below the limit."""
        least = self.limit / 100.0 * max(self.values)
        return tuple(number for number, value in enumerate(self.values, start=1) if value < least)

    @property
    def result(self) -> str | None:
        """The id of the result that this comes to, None where the figures alone cannot tell."""
        if max(self.values) < self.floor:
            return None if self.low else "all-low"
        return {0: "good", 1: "one-low"}.get(len(self.low))


def compression_spread(library: Library, state: State) -> Spread | None:
    """The spread of the readings kept, None unless every cylinder of the engine was read and one has pressure."""
    procedure = procedure_of(library, state)
    asked = [step for step in procedure.steps if step.kind is Kind.READING and step.quantity is Quantity.COMPRESSION]
    told = str(state.vehicle.get("cylinders", ""))
    places = [try_key(Frame(procedure=procedure.id, step=step.id)) for step in asked]
    values = [state.readings[place].value for place in places if place in state.readings]
    count = int(told) if told.isdigit() else len(values)
    if count < LEAST_CYLINDERS or any(place not in state.readings for place in places[:count]) or max(values) <= 0:
        return None
    limits = limits_of(library, state)
    return Spread(
        values=tuple(values[:count]),
        limit=limits[COMPRESSION_RATIO],
        floor=limits[COMPRESSION_FLOOR],
        unit=asked[0].unit or "",
    )


def reckoned_result(library: Library, state: State) -> Result | None:
    """The result proposed at the present question, None where none is."""
    spread = _spread_asked(library, state)
    named = spread.result if spread is not None else None
    return next((result for result in step_of(library, state).results if result.id == named), None)


def reckoned_words(library: Library, state: State) -> tuple[Sentence, ...]:
    """What was worked out for the present question, and what is proposed; empty where nothing is."""
    spread = _spread_asked(library, state)
    if spread is None:
        return ()
    lowest = spread.values.index(min(spread.values)) + 1
    share, line = (say_amount(value, "%") for value in (cut_tenths(spread.share), spread.limit))
    found = sayings.evenness(say_whole(lowest), share, line, passes=not spread.low)
    result = reckoned_result(library, state)
    low = [say_whole(number) for number in spread.low]
    then = sayings.below_line(low) if result is None else prompts.propose(result.phrases[0])
    return (Sentence(text=f"{found} {_level(spread)}"), Sentence(text=then))


def _level(spread: Spread) -> str:
    """The other test: each cylinder against the floor, in the unit that the procedure reads in."""
    floor = say_amount(spread.floor, spread.unit)
    below = [say_whole(number) for number, value in enumerate(spread.values, start=1) if value < spread.floor]
    return sayings.level(below, floor, every=len(below) == len(spread.values))


def _spread_asked(library: Library, state: State) -> Spread | None:
    asked = state.mode is Mode.ASKING and step_of(library, state).reckons is Reckoning.COMPRESSION
    return compression_spread(library, state) if asked else None

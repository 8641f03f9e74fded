"""What "strike that" would take back: the latest answer, reading, code, note or item that still counts."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.english import sayings
from assistant.guide.state import Kept, State

SPOKEN_WORDS = 12
"""Of longer words the beginning is enough to know them by. Source: judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strike:
    """`kept`: what falls together. `visits`: how many steps the job goes back for it; 0 for what moved nothing."""

    kept: tuple[Kept, ...]
    visits: int

    @property
    def words(self) -> str:
        """What it is, as spoken: "rest volts, twelve point four volts"."""
        said = next((each for each in self.kept if each.kind != "vehicle"), self.kept[-1])
        named = sayings.reading_named(said.name.replace("-", " "), said.words) if said.kind == "reading" else said.words
        words = named.split()
        return named if len(words) <= SPOKEN_WORDS else sayings.cut_short(" ".join(words[:SPOKEN_WORDS]))


def strike_now(state: State) -> Strike | None:
    """What would be struck now; None where there is nothing."""
    if not state.strikable:
        return None
    last = state.strikable[-1]
    visits = _visits_back_to(state, last)
    return Strike(kept=_answered_with(state, last, visits), visits=visits)


def _visits_back_to(state: State, kept: Kept) -> int:
    """How many visits ago the fact was kept; 0 for the present step and for notes and items, which move nothing."""
    visits = reversed(state.history)
    return next((back for back, visit in enumerate(visits, start=1) if kept in visit.kept), 0)


def _answered_with(state: State, last: Kept, visits: int) -> tuple[Kept, ...]:
    """The answer and the vehicle fact that it filled stand and fall together."""
    if last.kind != "vehicle":
        return (last,)
    kept = state.history[-visits].kept if visits else state.kept
    place = kept.index(last) if last in kept else 0  # told before it was asked, it was kept at no step
    answered = place > 0 and kept[place - 1].kind == "result"  # else it was told in one breath with others
    return kept[place - 1 : place + 1] if answered else (last,)

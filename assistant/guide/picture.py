"""What the screen shows of a state."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.bay import words_of
from assistant.english.lists import sentence
from assistant.guide.places import Library, caution_now, gate_now, procedure_of, step_of
from assistant.guide.state import Mode, State
from assistant.guide.timing import next_deadline
from assistant.guide.words import hint, instruction_words
from assistant.procedure.model import Caution

WORKED_ON = frozenset({Mode.ASKING, Mode.POISED, Mode.TIMING})
"""Modes in which what the step says is what to do. In all others something comes before it: its question is shown, so
that nobody reads off the screen what is not to be done yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """Instruction and caution as they stand. `instruction`: the words to be shown largest; while a caution waits, how
    the caution begins. `caution`: the one that waits, in full, else the gravest of the step without its consequence.
    `countdown_s`: seconds to the next deadline, or None. `bay`: what is so of car and bay, in words."""

    title: str
    step: str
    mode: str
    instruction: str
    caution_signal: str | None
    caution: str | None
    countdown_s: float | None
    open_items: tuple[str, ...]
    bay: tuple[str, ...] = ()


def picture(library: Library, state: State, at_s: float) -> Picture:
    """What to show at that time of the job."""
    caution = _caution(library, state)
    due_s = next_deadline(state)
    return Picture(
        title=procedure_of(library, state).title,
        step=state.at.step,
        mode=state.mode.value,
        instruction=_largest(library, state),
        caution_signal=caution.signal.value if caution else None,
        caution=_words(caution, consequence=state.mode is Mode.CAUTIONING) if caution else None,
        countdown_s=None if due_s is None else max(0.0, due_s - at_s),
        open_items=state.open_items,
        bay=words_of(state.bay, at_s),
    )


def _largest(library: Library, state: State) -> str:
    caution, gate = caution_now(library, state), gate_now(library, state)
    if state.mode is Mode.CAUTIONING and caution is not None:
        return _words(caution, consequence=False)
    if state.mode is Mode.GATING and gate is not None:
        return sentence(gate.say)
    found = state.mode is Mode.CLOSING and state.finding and not state.open_items
    working = found or (state.mode in WORKED_ON and not state.burst_done)
    asked = instruction_words(step_of(library, state)) if working else hint(library, state)
    return " ".join(each.text for each in asked)


def _caution(library: Library, state: State) -> Caution | None:
    """The caution now spoken, or the gravest of the step while it is worked on; none beside a question of its own."""
    if state.mode is Mode.GATING:
        return None
    known = {each.id: each for each in procedure_of(library, state).cautions}
    names = step_of(library, state).cautions
    return caution_now(library, state) or (known[names[0]] if names else None)


def _words(caution: Caution, *, consequence: bool) -> str:
    told = (caution.hazard, caution.avoid, caution.consequence if consequence else "")
    return " ".join(sentence(part) for part in told if part)

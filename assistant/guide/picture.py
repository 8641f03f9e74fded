"""What the screen shows of a state."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.guide.places import Library, caution_now, gate_now, procedure_of, step_of
from assistant.guide.state import Mode, State
from assistant.guide.timing import next_deadline
from assistant.guide.words import instruction_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """Instruction and caution as they stand. `countdown_s`: seconds to the next deadline, or None."""

    title: str
    step: str
    mode: str
    instruction: str
    caution_signal: str | None
    caution: str | None
    countdown_s: float | None
    open_items: tuple[str, ...]


def picture(library: Library, state: State, at_s: float) -> Picture:
    """What to show at that time of the job."""
    step = step_of(library, state)
    signal, warning = _band(library, state)
    due_s = next_deadline(state)
    return Picture(
        title=procedure_of(library, state).title,
        step=state.at.step,
        mode=state.mode.value,
        instruction=" ".join(sentence.text for sentence in instruction_words(step)),
        caution_signal=signal,
        caution=warning,
        countdown_s=None if due_s is None else max(0.0, due_s - at_s),
        open_items=state.open_items,
    )


def _band(library: Library, state: State) -> tuple[str | None, str | None]:
    """The caution now spoken, or the gravest of the step while it is worked on."""
    if state.mode is Mode.GATING:
        gate = gate_now(library, state)
        return None, gate.say if gate else None
    current = caution_now(library, state)
    known = {each.id: each for each in procedure_of(library, state).cautions}
    names = step_of(library, state).cautions
    caution = current or (known[names[0]] if names else None)
    return (caution.signal.value, f"{caution.hazard} {caution.avoid}") if caution else (None, None)

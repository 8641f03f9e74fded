"""A job ended from the desk, and its repair confirmed there or taken back: facts in, facts out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assistant.bay import folded
from assistant.errors import RecordError, UsageError
from assistant.facts import Fact, FactKind
from assistant.guide import Library, Mode, advance, confirm_repair, fold
from assistant.language.model import Command, Control, GiveControl, GiveResult
from assistant.procedure.condition import ITEMS
from assistant.procedure.remedies import NEVER_LEFT
from assistant.reasoning.model import NONE_OF_THESE, Model

USUALLY_ENDS_BY = (Control.END_JOB, Control.YES)
ENDS_BY: Mapping[Mode, tuple[Control, ...]] = {
    Mode.ENDING: (Control.YES,),
    Mode.STRIKING: (Control.NO, *USUALLY_ENDS_BY),  # nothing is struck unasked
}
"""What ends a job that was left at a question which takes no other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Repair:
    """What the desk says of the repair. `fault`: what was cured; None takes back what was confirmed."""

    fault: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """What the desk adds to the job, in order; `ends`: whether that ends it."""

    facts: tuple[Fact, ...]
    ends: bool


def close(library: Library, kept: Sequence[Fact], *, left_off: bool, repair: Repair | None = None) -> Closed:
    """End an open job; of one that has ended, only its repair can be told.

    `library`: what led the job, as far as it can be read. `left_off`: parts that are off stay off.
    Raises UsageError: ended already, or parts are off and may not stay off.
    """
    ends = not (_has_ended(kept) and repair is not None)
    facts = _end(library, kept, left_off=left_off) if ends else ()
    if repair is not None:
        facts = (*facts, confirm_repair([*kept, *facts], repair.fault))
    return Closed(facts=facts, ends=ends)


def require_fault(model: Model | None, fault: str) -> None:
    """Raises UsageError for a fault that the job's fault model does not know; without a model any may be told."""
    if model is not None and model.meant_by(fault) is None:
        known = ", ".join([*(one.id for one in model.faults), NONE_OF_THESE])
        raise UsageError(f"The fault model '{model.id}' has no fault '{fault}'; it has {known}.")


def _end(library: Library, kept: Sequence[Fact], *, left_off: bool) -> tuple[Fact, ...]:
    """By the guide's own rules; where the procedures do not fit the facts any more, by the facts alone."""
    if _has_ended(kept):
        raise UsageError(f"Job '{kept[0].job}' has ended already.")
    try:
        state = fold(library, kept)
    except RecordError:
        return _end_unled(kept, left_off=left_off)
    _refuse_open(state.open_items, left_off=left_off)
    found: list[Fact] = []
    said: list[Command] = [GiveControl(control=control) for control in ENDS_BY.get(state.mode, USUALLY_ENDS_BY)]
    while said:
        turn = advance(library, state, said.pop(0), state.at_s)
        if turn.refused is not None:
            raise UsageError(f"Job '{state.job}' cannot be closed from the desk now: {turn.refused}")
        state, found = turn.state, [*found, *turn.facts]
        if not said and state.mode is Mode.CLOSING and state.open_items and left_off:
            _refuse_never_left(state.open_items)
            said.append(GiveResult(result="left-off", words="left off, from the desk"))
    _refuse_open(state.open_items, left_off=left_off)  # what a step under way may have taken off counts once it is left
    return tuple(found)


def _end_unled(kept: Sequence[Fact], *, left_off: bool) -> tuple[Fact, ...]:
    off = folded(kept).open_items
    _refuse_open(off, left_off=left_off)
    told: list[tuple[FactKind, dict[str, Any]]] = []
    told += [(FactKind.ITEM_LEFT_OFF, {"item": item, "by": "desk"}) for item in off]
    told.append((FactKind.JOB_ENDED, {"finding": False, "by": "desk", "unled": True}))
    last, key = kept[-1], kept[0].id.removesuffix("-1")
    return tuple(
        replace(last, id=f"{key}-{number}", number=number, kind=kind, step=None, data=data)
        for number, (kind, data) in enumerate(told, start=last.number + 1)
    )


def _has_ended(kept: Sequence[Fact]) -> bool:
    return any(fact.kind is FactKind.JOB_ENDED for fact in kept)


def _refuse_never_left(items: Sequence[str]) -> None:
    for item in items:
        if ITEMS.get(item) in NEVER_LEFT:
            raise UsageError(f"The {item} is not left open. Close it, resume the job and say it is put right.")


def _refuse_open(items: Sequence[str], *, left_off: bool) -> None:
    if items and not left_off:
        raise UsageError(
            f"Still off the vehicle: {', '.join(items)}. Refit them, or say --left-off; the job stays open."
        )

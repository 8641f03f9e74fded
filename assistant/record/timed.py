"""Minutes by step: how long the technician was in each, pauses left out."""

from __future__ import annotations

from assistant.facts import Fact, FactKind
from assistant.record.model import StepTime
from assistant.record.walk import Walk

_LEAVES = (FactKind.STEP_ENTERED, FactKind.JOB_ENDED)


def step_times(walk: Walk) -> tuple[StepTime, ...]:
    """One line for each step that was entered, in the order of first entry."""
    spans: dict[tuple[str | None, str], list[tuple[Fact, float, float]]] = {}
    inside: Fact | None = None
    began = paused_s = 0.0
    paused_at: float | None = None
    for fact in walk.facts:
        if fact.kind is FactKind.PAUSED and paused_at is None:
            paused_at = fact.at_s
        elif paused_at is not None and fact.kind in (FactKind.RESUMED, *_LEAVES):
            paused_s += fact.at_s - paused_at
            paused_at = None
        if fact.kind in _LEAVES:
            if inside is not None and inside.step is not None:
                spans.setdefault((inside.procedure, inside.step), []).append((inside, began, fact.at_s - paused_s))
            inside, began, paused_s = (fact if fact.kind is FactKind.STEP_ENTERED else None), fact.at_s, 0.0
    if inside is not None and inside.step is not None:
        end = (paused_at if paused_at is not None else walk.facts[-1].at_s) - paused_s
        spans.setdefault((inside.procedure, inside.step), []).append((inside, began, end))
    return tuple(_step_time(walk, key, visits) for key, visits in spans.items())


def _step_time(walk: Walk, key: tuple[str | None, str], visits: list[tuple[Fact, float, float]]) -> StepTime:
    step = walk.step(visits[0][0])
    return StepTime(
        procedure=key[0],
        step=key[1],
        entries=len(visits),
        spent_min=round(sum(max(0.0, end - began) for _, began, end in visits) / 60, 2),
        planned_min=step.minutes if step else None,
        first_s=round(visits[0][1], 3),
        label=walk.label(visits[0][0]),
        spans_s=tuple((round(began, 3), round(max(began, end), 3)) for _, began, end in visits),
    )

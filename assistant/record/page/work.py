"""Tables of the work: timed actions, minutes by step, and what was struck."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.record.model import JobRecord, StepTime
from assistant.record.page.cells import row
from assistant.record.page.model import Row, Table
from assistant.record.wording import amount, bounded, elapsed, plain_words

SHOWN_STRUCK = frozenset({"result-logged", "reading-logged", "code-logged", "note-taken", "words-kept", "step-skipped"})
"""Kinds whose own table marks what was struck."""
MOST_STEPS = 12
"""Steps that stand by themselves in the table of minutes; the JSON report has them all."""


LEAST_MIN = 0.05
"""Less is printed as nought."""


def actions(record: JobRecord) -> Table:
    """Paced actions and waits."""
    rows = tuple(
        row(
            one.mark,
            elapsed(one.mark.at_s),
            one.mark.label,
            plain_words(one.action),
            "not finished" if one.seconds is None else amount(round(one.seconds, 1), "s"),
        )
        for one in record.actions
    )
    columns = ("At", "Step", "What", "Lasted")
    return Table(name="actions", title="Timed actions and waits", columns=columns, rows=rows, numbers=(0, 3))


def steps(record: JobRecord) -> Table:
    """The steps that took longest, in the order of the job, and the others in one line."""
    longest = sorted(worth_showing(record.steps), key=lambda one: -one.spent_min)[:MOST_STEPS]
    rows = [
        Row(
            cells=(
                bounded(named(one)),
                str(one.entries),
                f"{one.spent_min:.1f}",
                "" if one.planned_min is None else f"{one.planned_min:.1f}",
            )
        )
        for one in record.steps
        if one in longest
    ]
    others = [one for one in record.steps if one not in longest]
    if others:
        spent = sum(one.spent_min for one in others)
        planned = sum(one.planned_min or 0.0 for one in others)
        entries = str(sum(one.entries for one in others))
        rows.append(Row(cells=(f"{len(others)} shorter steps", entries, f"{spent:.1f}", f"{planned:.1f}")))
    columns = ("Step", "Entered", "Minutes", "Planned")
    note = f"Pauses are left out. In all {record.minutes:.1f} minutes."
    return Table(name="steps", title="Minutes by step", columns=columns, rows=tuple(rows), numbers=(1, 2, 3), note=note)


def named(step: StepTime) -> str:
    """The step as it stands in a list of steps: what is measured begins as a question does."""
    return step.label[:1].upper() + step.label[1:]


def worth_showing(steps: Sequence[StepTime]) -> list[StepTime]:
    """Steps that took time; all of them where none took any."""
    return [one for one in steps if one.spent_min >= LEAST_MIN] or list(steps)


def struck(record: JobRecord) -> Table:
    """Struck facts that stand in no other table: corrections never erase."""
    numbers = {one.id: one.number for one in record.facts}
    rows = tuple(
        Row(
            cells=(
                elapsed(one.at_s),
                plain_words(one.kind),
                str(one.number),
                str(numbers.get(one.struck_by, "")),
            )
        )
        for one in record.facts
        if one.struck_by is not None and one.kind not in SHOWN_STRUCK
    )
    columns = ("At", "What", "Fact", "Struck by fact")
    return Table(name="struck", title="Struck, and kept", columns=columns, rows=rows, numbers=(0, 2, 3))

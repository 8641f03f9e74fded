"""Pictures over the time of the job: the odds of each fault, and the timeline of steps."""

from __future__ import annotations

from assistant.record.model import JobRecord, StepTime
from assistant.record.page.repair import fault_name
from assistant.record.page.top import MOST_ROUNDED
from assistant.record.page.work import named, worth_showing
from assistant.record.pictures.canvas import (
    AMBER,
    BLUE,
    DASHES,
    FAINT,
    GREEN,
    INK,
    PALETTE,
    PANEL,
    WIDTH,
    Canvas,
    Picture,
    Scale,
)
from assistant.record.wording import elapsed, percent

MOST_FAULTS = 5
MOST_STEPS = 12
ROW = 19
DONE, TOLD, TOP = 46, 62, 76
"""Lines of what was done and of what was told, under the legend; where the steps begin."""
LABEL_HEIGHT = 15.0
LABELS = 150


def odds(record: JobRecord, family: str) -> Picture | None:
    """The odds of the leading faults as results came in; None where they were never kept."""
    if not record.odds:
        return None
    last = record.odds[-1].faults
    leading = sorted(last, key=lambda name: -last[name])[:MOST_FAULTS]
    alt = "Odds of each fault at the end: " + ", ".join(
        f"{fault_name(record, name)} {percent(last[name])}" for name in leading
    )
    canvas = Canvas(230, alt, family)
    across = Scale(low=0, high=max(record.duration_s, 1.0), start=42, end=WIDTH - 142)
    up = Scale(low=0, high=1, start=195, end=12)
    canvas.box(across.start, up.end, across.end - across.start, up.start - up.end, fill=PANEL)
    for tick in (0.0, 0.25, 0.5, 0.75, 1.0):
        canvas.line(across.start, up.at(tick), across.end, up.at(tick))
        canvas.words(across.start - 6, up.at(tick) + 4, percent(tick), size=11, fill=FAINT, anchor="end")
    _clock(canvas, across, 212)
    places = _spread([up.at(last[name]) for name in leading])
    for index, name in enumerate(leading):
        colour = PALETTE[index % len(PALETTE)]
        points = [(across.at(one.mark.at_s), up.at(one.faults.get(name, 0.0))) for one in record.odds]
        canvas.path([*points, (across.end, points[-1][1])], stroke=colour, dash=DASHES[index % len(DASHES)])
        for x, y in points:
            canvas.dot(x, y, fill=colour, radius=3.5)
        y = places[index] + 4
        canvas.words(
            across.end + 6,
            y,
            canvas.cut(f"{percent(last[name])} {_bare(fault_name(record, name))}", WIDTH - across.end - 6),
            size=11,
            fill=colour,
        )
    more = ", each by itself: a car can have two" if sum(last.values()) > MOST_ROUNDED else ""
    return Picture(name="odds", title=f"Odds of each fault as results came in{more}", alt=alt, svg=canvas.svg())


def timeline(record: JobRecord, family: str) -> Picture | None:
    """Steps as bars over the time of the job, with cautions, bursts, readings and results above them."""
    if not record.steps or record.duration_s <= 0:
        return None
    longest = sorted(worth_showing(record.steps), key=lambda one: -one.spent_min)[:MOST_STEPS]
    rows = [one for one in record.steps if one in longest]
    left_out = len(record.steps) - len(rows)
    alt = f"Timeline of {elapsed(record.duration_s)}: " + "; ".join(_spent(one) for one in rows)
    canvas = Canvas(TOP + 8 + len(rows) * ROW + 40, alt, family)
    across = Scale(low=0, high=record.duration_s, start=LABELS, end=WIDTH - 41)
    bottom = TOP + len(rows) * ROW
    canvas.box(across.start, TOP, across.end - across.start, len(rows) * ROW, fill=PANEL)
    _events(canvas, record, across)
    canvas.words(across.end + 6, TOP - 2, "min", size=11, fill=FAINT)
    for index, one in enumerate(rows):
        y = TOP + index * ROW
        canvas.words(LABELS - 6, y + 14, canvas.cut(named(one), LABELS - 6), size=11, anchor="end")
        for began, ended in one.spans_s:
            canvas.box(across.at(began), y + 3, max(across.at(ended) - across.at(began), 2), ROW - 6, fill=BLUE)
        canvas.words(across.end + 6, y + 14, f"{one.spent_min:.1f}", size=11, fill=INK)
    _clock(canvas, across, bottom + 16)
    if left_out:
        canvas.words(LABELS, bottom + 34, f"and {left_out} shorter steps", size=11, fill=FAINT)
    return Picture(name="timeline", title="Timeline", alt=alt, svg=canvas.svg())


def _events(canvas: Canvas, record: JobRecord, across: Scale) -> None:
    """On two lines, so that many results hide neither a burst nor a reading."""
    beside = LABELS + 16  # wide letters, as DejaVu's, need as much for the words before
    canvas.triangle(12, 12, fill=AMBER)
    canvas.words(22, 16, "caution acknowledged", size=11)
    canvas.box(beside, 6, 12, 11, fill=INK)
    canvas.words(beside + 17, 16, "starter turned", size=11)
    canvas.diamond(12, 28, fill=BLUE)
    canvas.words(22, 32, "reading", size=11)
    canvas.dot(beside + 6, 28, fill=GREEN)
    canvas.words(beside + 17, 32, "result", size=11)
    for caution in record.cautions:
        if caution.acknowledged_at_s is not None:
            canvas.triangle(across.at(caution.acknowledged_at_s), DONE, fill=AMBER)
    for burst in record.bursts:
        width = max(across.at(burst.ended_s) - across.at(burst.began_s), 3)
        canvas.box(across.at(burst.began_s), DONE - 6, width, 12, fill=INK)
    for result in record.results:
        if result.mark.struck_by is None:
            canvas.dot(across.at(result.mark.at_s), TOLD, fill=GREEN, radius=3)
    for reading in record.readings:
        if reading.mark.struck_by is None:
            canvas.diamond(across.at(reading.mark.at_s), TOLD, fill=BLUE)


def _bare(words: str) -> str:
    return words.removeprefix("a ").removeprefix("an ")


def _clock(canvas: Canvas, across: Scale, y: float) -> None:
    minutes = Scale(low=0, high=across.high / 60, start=across.start, end=across.end)
    for tick in minutes.ticks(4):
        canvas.words(minutes.at(tick), y, f"{tick:g}", size=11, fill=FAINT, anchor="middle")
    canvas.words(across.end + 18, y, "min", size=11, fill=FAINT)


def _spread(places: list[float]) -> list[float]:
    """Places for lines of words that overlap none other and stay in their order, pushed up from the lowest."""
    free = list(places)
    limit = 400.0
    for index in sorted(range(len(places)), key=lambda one: (-places[one], -one)):
        free[index] = min(places[index], limit)
        limit = free[index] - LABEL_HEIGHT
    return free


def _spent(one: StepTime) -> str:
    return f"{one.label} {one.spent_min:.1f} minutes"

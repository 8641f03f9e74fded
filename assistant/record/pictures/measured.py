"""Pictures of what was measured: battery, bursts and speed, compression by cylinder."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.language.speak import cut_tenths
from assistant.record.model import Burst, JobRecord, Reading
from assistant.record.pictures.canvas import (
    AMBER,
    BLUE,
    FAINT,
    INK,
    PANEL,
    WIDTH,
    Canvas,
    Picture,
    Place,
    Scale,
    parts,
)
from assistant.record.wording import amount, as_shown

ROW = 23
LABELS = 150
ROOM, SHORT_ROOM = 60, 36
"""Pixels that a value needs beside its dot or bar; where a limit's line stands in them, it goes behind the line."""
MOST_ROWS = 16
"""More than this in one picture would leave half a page free below it."""


def battery(record: JobRecord, family: str) -> tuple[Picture, ...]:
    """Battery voltages on one scale with the limit that judged each; several pictures where there are many."""
    every = [
        one
        for one in record.readings
        if one.quantity == "voltage" and "battery" in one.name and one.mark.struck_by is None
    ]
    values = [one.judged_value for one in every] + [limit for one in every for limit in _limits(one)]
    return tuple(_battery(rows, values, place, family) for place, rows in parts(every, MOST_ROWS))


def _battery(rows: Sequence[Reading], values: Sequence[float], place: Place, family: str) -> Picture:
    scale = Scale(low=min(*values, 9.0) - 0.5, high=max(*values, 13.0) + 0.5, start=LABELS, end=WIDTH - 60)
    alt = "Battery: " + "; ".join(f"{one.name} {as_shown(one)}, {one.verdict}" for one in rows)
    canvas = Canvas(len(rows) * ROW + 46, alt, family)
    _grid(canvas, scale, len(rows), "V")
    for index, one in enumerate(rows):
        y = 12 + index * ROW + ROW / 2
        canvas.words(LABELS - 8, y + 4, canvas.cut(one.name, LABELS - 8), size=11, anchor="end")
        for limit in _limits(one):
            canvas.line(scale.at(limit), y - 9, scale.at(limit), y + 9, stroke=AMBER, width=2.5)
        canvas.dot(scale.at(one.judged_value), y, fill=BLUE, radius=5)
        bars = [at for limit in _limits(one) if 0 < (at := scale.at(limit)) - scale.at(one.judged_value) < ROOM]
        canvas.words(max([scale.at(one.judged_value), *bars]) + 8, y + 4, as_shown(one), bold=True)
    title = f"Battery at rest and while cranking (bar: limit){place.of_many}"
    return Picture(name=f"battery{place.after}", title=title, alt=alt, svg=canvas.svg())


def bursts(record: JobRecord, family: str) -> tuple[Picture, ...]:
    """Each burst's length against the limits, and its speed where heard; several pictures where there are many."""
    return tuple(_bursts(record, rows, place, family) for place, rows in parts(record.bursts, MOST_ROWS))


def _bursts(record: JobRecord, rows: Sequence[Burst], place: Place, family: str) -> Picture:
    alt = "Cranking bursts: " + "; ".join(_said(number, one) for number, one in enumerate(rows, start=place.first))
    longest = max([one.seconds for one in record.bursts] + [record.duty.stop_limit_s]) * 1.05
    speeds = [one.rpm for one in record.bursts if one.rpm is not None]
    length = Scale(low=0, high=longest, start=54, end=196)
    speed = Scale(low=0, high=max([*speeds, 200.0]) * 1.3, start=226, end=WIDTH - 30)
    canvas = Canvas(len(rows) * ROW + 62, alt, family)
    canvas.words(speed.start, 12, "speed, rpm", size=11, fill=FAINT)
    _grid(canvas, length, len(rows), "s", top=18, most=4)
    _grid(canvas, speed, len(rows), "", top=18, most=3)
    for limit, words in ((record.duty.burst_limit_s, "release"), (record.duty.stop_limit_s, "stop")):
        x = length.at(limit)
        canvas.line(x, 18, x, 18 + len(rows) * ROW, stroke=AMBER, width=2, dash="5 3")
        canvas.words(x, 12, words, size=11, fill=AMBER, anchor="middle")
    for index, one in enumerate(rows):
        y = 18 + index * ROW + ROW / 2
        canvas.words(length.start - 6, y + 4, f"burst {place.first + index}", size=11, anchor="end")
        canvas.box(length.start, y - 7, length.at(one.seconds) - length.start, 14, fill=BLUE)
        lines = [length.at(limit) for limit in (record.duty.burst_limit_s, record.duty.stop_limit_s)]
        behind = [at for at in lines if 0 < at - length.at(one.seconds) < SHORT_ROOM]
        canvas.words(max([length.at(one.seconds), *behind]) + 6, y + 4, amount(round(one.seconds, 1), "s"), bold=True)
        if one.rpm is None:
            canvas.words(speed.start + 6, y + 4, "not heard", fill=FAINT)
        else:
            canvas.dot(speed.at(one.rpm), y, fill=BLUE, radius=5)
            canvas.words(speed.at(one.rpm) + 8, y + 4, amount(round(one.rpm)), bold=True)
    title = f"Cranking bursts and speed{place.of_many}"
    return Picture(name=f"bursts{place.after}", title=title, alt=alt, svg=canvas.svg())


def compression(record: JobRecord, family: str) -> Picture | None:
    """Compression by cylinder with the line at 75 % of the highest and the floor; None below two cylinders.

    What fails either test is in another colour; the words below the readings name both tests with their verdicts.
    """
    found = record.compression
    if found is None:
        return None
    even, floor = found.evenness, found.level.floor if found.level is not None else None
    height = Scale(low=0, high=max(even.highest, floor or 0.0) * 1.15, start=190, end=14)
    limit = even.limit_share * even.highest
    cylinders = ", ".join(f"cylinder {one.cylinder} {amount(one.value, found.unit)}" for one in found.cylinders)
    alt = (
        f"Compression: {cylinders}. Lowest is {amount(cut_tenths(even.share * 100), '%')} of the highest; "
        f"the line stands at {amount(even.limit_share * 100, '%')}, {amount(round(limit, 1), found.unit)}."
    )
    if floor is not None:
        alt += f" The floor stands at {amount(round(floor, 1), found.unit)}."
    canvas = Canvas(216, alt, family)
    right = WIDTH - 106  # beside it stand the names of the lines
    for tick in height.ticks(5):
        canvas.line(36, height.at(tick), right, height.at(tick))
        canvas.words(32, height.at(tick) + 4, amount(tick), size=11, fill=FAINT, anchor="end")
    room = (right - 40) / len(found.cylinders)
    for index, one in enumerate(found.cylinders):
        x, width = 40 + index * room + room * 0.08, room * 0.84
        low = one.low or one.value < limit
        canvas.box(x, height.at(one.value), width, height.at(0) - height.at(one.value), fill=AMBER if low else BLUE)
        value = amount(float(f"{one.value:.4g}"))
        _value(canvas, x + width / 2, height, one.value, value, upright=len(value) * DIGIT > width)
        canvas.words(x + width / 2, 208, f"{one.cylinder}", anchor="middle")
    canvas.line(36, height.at(limit), right, height.at(limit), stroke=INK, width=2, dash="7 4")
    canvas.words(right + 4, height.at(limit) + 4, f"{even.limit_share * 100:.0f} % of highest", size=11, bold=True)
    if floor is not None:
        canvas.line(36, height.at(floor), right, height.at(floor), stroke=AMBER, width=2, dash="2 4")
        near = abs(height.at(floor) - height.at(limit)) < 14
        y = height.at(limit) + (18 if height.at(floor) >= height.at(limit) else -10) if near else height.at(floor) + 4
        canvas.words(right + 4, y, f"floor {amount(round(floor))}", size=11, fill=AMBER, bold=True)
    return Picture(name="compression", title=f"Compression by cylinder, {found.unit}", alt=alt, svg=canvas.svg())


DIGIT = 7.5
"""Pixels of a bold digit of 12."""


def _value(canvas: Canvas, x: float, height: Scale, value: float, words: str, *, upright: bool) -> None:
    """The value in its column, or above a low one; on its side where the column is too narrow for it."""
    needs = len(words) * DIGIT + 8 if upright else 30
    inside = height.at(0) - height.at(value) > needs
    colour = "#ffffff" if inside else INK
    if upright:
        y = height.at(value) + (5 if inside else -5)
        canvas.words(x + 4, y, words, fill=colour, anchor="end" if inside else "start", bold=True, turned=True)
    else:
        canvas.words(x, height.at(value) + (17 if inside else -6), words, fill=colour, anchor="middle", bold=True)


def _limits(reading: Reading) -> list[float]:
    return [limit.value for limit in (reading.at_least, reading.below) if limit is not None]


def _grid(canvas: Canvas, scale: Scale, rows: int, unit: str, *, top: float = 12, most: int = 5) -> None:
    bottom = top + rows * ROW
    canvas.box(scale.start, top, scale.end - scale.start, rows * ROW, fill=PANEL)
    for tick in scale.ticks(most):
        canvas.line(scale.at(tick), top, scale.at(tick), bottom)
        canvas.words(scale.at(tick), bottom + 16, amount(tick, unit), size=11, fill=FAINT, anchor="middle")


def _said(number: int, one: Burst) -> str:
    speed = "speed not heard" if one.rpm is None else f"{one.rpm:.0f} rpm"
    return f"burst {number} {amount(round(one.seconds, 1), 's')}, {speed}"

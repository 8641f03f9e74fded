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
    Scale,
    shortened,
)
from assistant.record.wording import amount, as_shown

ROW = 23
LABELS = 150
MOST_ROWS = 12


def battery(record: JobRecord, family: str) -> Picture | None:
    """Battery voltages on one scale with the limit that judged each; None where none was read."""
    rows = [
        one
        for one in record.readings
        if one.quantity == "voltage" and "battery" in one.name and one.mark.struck_by is None
    ][:MOST_ROWS]
    if not rows:
        return None
    values = [one.value for one in rows] + [limit for one in rows for limit in _limits(one)]
    scale = Scale(low=min(*values, 9.0) - 0.5, high=max(*values, 13.0) + 0.5, start=LABELS, end=WIDTH - 48)
    alt = "Battery: " + "; ".join(f"{one.name} {as_shown(one)}, {one.verdict}" for one in rows)
    canvas = Canvas(len(rows) * ROW + 46, alt, family)
    _grid(canvas, scale, len(rows), "V")
    for index, one in enumerate(rows):
        y = 12 + index * ROW + ROW / 2
        canvas.words(LABELS - 10, y + 4, shortened(one.name, 25), anchor="end")
        for limit in _limits(one):
            canvas.line(scale.at(limit), y - 9, scale.at(limit), y + 9, stroke=AMBER, width=2.5)
        canvas.dot(scale.at(one.value), y, fill=BLUE, radius=6)
        canvas.words(scale.at(one.value) + 11, y + 4, as_shown(one), bold=True)
    return Picture(name="battery", title="Battery at rest and while cranking (bar: limit)", alt=alt, svg=canvas.svg())


def bursts(record: JobRecord, family: str) -> Picture | None:
    """Each cranking burst's length against the limits, and its speed where it was heard."""
    rows = record.bursts[-MOST_ROWS:]
    if not rows:
        return None
    alt = "Cranking bursts: " + "; ".join(_said(number, one) for number, one in _numbered(record.bursts, rows))
    longest = max([one.seconds for one in rows] + [record.duty.stop_limit_s]) * 1.05
    speeds = [one.rpm for one in rows if one.rpm is not None]
    length = Scale(low=0, high=longest, start=58, end=262)
    speed = Scale(low=0, high=max([*speeds, 200.0]) * 1.3, start=306, end=WIDTH - 16)
    canvas = Canvas(len(rows) * ROW + 62, alt, family)
    canvas.words(length.start, 12, "seconds", size=11, fill=FAINT)
    canvas.words(speed.start, 12, "speed, rpm", size=11, fill=FAINT)
    _grid(canvas, length, len(rows), "s", top=18)
    _grid(canvas, speed, len(rows), "", top=18, most=4)
    for limit, words in ((record.duty.burst_limit_s, "release"), (record.duty.stop_limit_s, "stop")):
        x = length.at(limit)
        canvas.line(x, 18, x, 18 + len(rows) * ROW, stroke=AMBER, width=2, dash="5 3")
        canvas.words(x, 14, words, size=10, fill=AMBER, anchor="middle")
    for index, (number, one) in enumerate(_numbered(record.bursts, rows)):
        y = 18 + index * ROW + ROW / 2
        canvas.words(length.start - 8, y + 4, f"burst {number}", anchor="end")
        canvas.box(length.start, y - 7, length.at(one.seconds) - length.start, 14, fill=BLUE)
        canvas.words(length.at(one.seconds) + 6, y + 4, amount(round(one.seconds, 1), "s"), bold=True)
        if one.rpm is None:
            canvas.words(speed.start + 6, y + 4, "not heard", fill=FAINT)
        else:
            canvas.dot(speed.at(one.rpm), y, fill=BLUE, radius=6)
            canvas.words(speed.at(one.rpm) + 11, y + 4, amount(round(one.rpm)), bold=True)
    return Picture(name="bursts", title="Cranking bursts and speed", alt=alt, svg=canvas.svg())


def compression(record: JobRecord, family: str) -> Picture | None:
    """Compression by cylinder with the line at 75 % of the highest and the floor; None below two cylinders.

    What fails either test is in another colour; the words below the readings name both tests with their verdicts.
    """
    spread = record.compression
    if spread is None:
        return None
    floor = spread.floor or 0.0
    top = max(spread.highest, floor) * 1.15
    height = Scale(low=0, high=top, start=190, end=14)
    limit = spread.limit_share * spread.highest
    cylinders = ", ".join(f"cylinder {one.cylinder} {amount(one.value, spread.unit)}" for one in spread.cylinders)
    alt = (
        f"Compression: {cylinders}. Lowest is {amount(cut_tenths(spread.share * 100), '%')} of the highest; "
        f"the line stands at {amount(spread.limit_share * 100, '%')}, {amount(round(limit, 1), spread.unit)}."
    )
    if spread.floor is not None:
        alt += f" The floor stands at {amount(round(floor, 1), spread.unit)}."
    canvas = Canvas(216, alt, family)
    for tick in height.ticks(5):
        canvas.line(46, height.at(tick), WIDTH - 16, height.at(tick))
        canvas.words(40, height.at(tick) + 4, amount(tick), size=11, fill=FAINT, anchor="end")
    room = (WIDTH - 170) / len(spread.cylinders)
    for index, one in enumerate(spread.cylinders):
        x, width = 52 + index * room + room * 0.16, room * 0.68
        low = one.low or one.value < limit
        canvas.box(x, height.at(one.value), width, height.at(0) - height.at(one.value), fill=AMBER if low else BLUE)
        inside = height.at(0) - height.at(one.value) > 30
        y, colour = height.at(one.value) + (17 if inside else -6), "#ffffff" if inside else INK
        canvas.words(x + width / 2, y, amount(one.value), fill=colour, anchor="middle", bold=True)
        canvas.words(x + width / 2, 208, f"{one.cylinder}", anchor="middle")
    canvas.line(46, height.at(limit), WIDTH - 114, height.at(limit), stroke=INK, width=2, dash="7 4")
    canvas.words(WIDTH - 110, height.at(limit) + 4, f"{spread.limit_share * 100:.0f} % of highest", size=12, bold=True)
    if spread.floor is not None:
        canvas.line(46, height.at(floor), WIDTH - 114, height.at(floor), stroke=AMBER, width=2, dash="2 4")
        near = abs(height.at(floor) - height.at(limit)) < 14
        y = height.at(limit) + (20 if height.at(floor) >= height.at(limit) else -12) if near else height.at(floor) + 4
        canvas.words(WIDTH - 110, y, f"floor {amount(round(floor))}", size=12, fill=AMBER, bold=True)
    return Picture(name="compression", title=f"Compression by cylinder, {spread.unit}", alt=alt, svg=canvas.svg())


def _limits(reading: Reading) -> list[float]:
    return [limit.value for limit in (reading.at_least, reading.below) if limit is not None]


def _grid(canvas: Canvas, scale: Scale, rows: int, unit: str, *, top: float = 12, most: int = 5) -> None:
    bottom = top + rows * ROW
    canvas.box(scale.start, top, scale.end - scale.start, rows * ROW, fill=PANEL)
    for tick in scale.ticks(most):
        canvas.line(scale.at(tick), top, scale.at(tick), bottom)
        canvas.words(scale.at(tick), bottom + 16, amount(tick, unit), size=11, fill=FAINT, anchor="middle")


def _numbered(every: Sequence[Burst], shown: Sequence[Burst]) -> list[tuple[int, Burst]]:
    return list(enumerate(shown, start=len(every) - len(shown) + 1))


def _said(number: int, one: Burst) -> str:
    speed = "speed not heard" if one.rpm is None else f"{one.rpm:.0f} rpm"
    return f"burst {number} {amount(round(one.seconds, 1), 's')}, {speed}"

"""The ways of choosing tests as a picture: minutes as bars, how often the first repair is right as dots."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.record.pictures.canvas import AMBER, BLUE, FAINT, INK, LINE, WIDTH, Canvas, Scale

Row = tuple[str, float, tuple[float, float], float, tuple[float, float]]
"""Name, mean minutes, their 95 % interval, share right, its 95 % interval."""

OURS = 1
"""So many rows at the top are the assistant's own and stand out."""
ROW_HEIGHT = 40
TOP = 76
LEFT = 12.0
BARS = (LEFT, 262.0)
DOTS = (290.0, 436.0)
"""What is written at an end of a scale stands half beyond it, so the scales end well before the picture."""
SHARES = (0.2, 0.5, 0.8, 1.0)
BAR = (20, 32)
"""Rows of pixels that the bar takes of its row; its name stands above, where no line of the grid runs."""


def draw_ways(rows: Sequence[Row], cars: int) -> str:
    """The picture as SVG text."""
    bottom = TOP + ROW_HEIGHT * len(rows)
    best = rows[0]
    alt = f"Minutes and right diagnoses of {len(rows)} ways to choose tests; {best[0]} {best[1]:.0f} min, {best[3]:.0%}"
    canvas = Canvas(bottom + 28, alt, "sans-serif")
    canvas.box(0, 0, WIDTH, canvas.height, fill="#ffffff")
    minutes = Scale(low=0.0, high=max(row[2][1] for row in rows) * 1.05, start=BARS[0], end=BARS[1])
    shares = Scale(low=SHARES[0], high=SHARES[-1], start=DOTS[0], end=DOTS[1])
    canvas.words(LEFT, 20, "Which test next?", size=14, bold=True)
    canvas.words(LEFT, 39, f"{cars:,} made-up cars, half bent, 5 % of answers wrong", fill=FAINT)
    canvas.words(LEFT, 62, "mean minutes until it runs", fill=FAINT)
    canvas.words(DOTS[0], 62, "first repair right", fill=FAINT)
    for tick in minutes.ticks(5):
        canvas.words(minutes.at(tick), bottom + 16, f"{tick:g}", fill=FAINT, anchor="middle" if tick else "start")
    for tick in SHARES:
        canvas.words(shares.at(tick), bottom + 16, f"{tick:.0%}", fill=FAINT, anchor="middle")
    for number, row in enumerate(rows):
        _draw_way(canvas, row, TOP + ROW_HEIGHT * number, (minutes, shares), ours=number < OURS, first=number == 0)
    return canvas.svg()


def _draw_way(canvas: Canvas, row: Row, top: float, scales: tuple[Scale, Scale], *, ours: bool, first: bool) -> None:
    name, mean, (low, high), right, (least, most) = row
    minutes, shares = scales
    begin, end = top + BAR[0] - 2, top + BAR[1] + 2
    middle = (begin + end) / 2
    colour = BLUE if ours else AMBER
    for tick in minutes.ticks(5):
        canvas.line(minutes.at(tick), begin, minutes.at(tick), end)
    for tick in SHARES:
        canvas.line(shares.at(tick), begin, shares.at(tick), end, stroke=LINE)
    canvas.words(minutes.start, top + 14, f"{name}: {mean:.0f} min", bold=first)
    canvas.box(
        minutes.start, top + BAR[0], minutes.at(mean) - minutes.start, BAR[1] - BAR[0], fill=colour, opacity=0.75
    )
    canvas.line(minutes.at(low), middle, minutes.at(high), middle, stroke=INK, width=2)
    canvas.line(shares.at(least), middle, shares.at(most), middle, stroke=INK, width=2)
    canvas.dot(shares.at(right), middle, fill=colour)
    canvas.words(shares.at(right), top + 14, f"{right:.0%}", anchor="middle", bold=first)

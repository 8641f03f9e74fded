"""The ways of choosing tests as pictures: minutes and right repairs of each way; odds said against share right."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.bench.accuracy import wilson
from assistant.record.pictures.canvas import AMBER, BLUE, FAINT, INK, LINE, Canvas, Scale

Row = tuple[str, float, tuple[float, float], float, tuple[float, float]]
"""Name, mean minutes, their 95 % interval, share right, its 95 % interval."""

WIDTH = 460
"""In pixels; for a screen, where more stands beside each other than on paper."""
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
    canvas = Canvas(bottom + 28, alt, "sans-serif", WIDTH)
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


Band = tuple[float, float, int]
"""Mean odds said of the first repair in a band of odds, share of them right, how many cars."""

SIDE = 320.0
"""Edge of the square in which odds stand against shares."""
CORNER = (52.0, 64.0)


def draw_reliability(bands: Sequence[Band], brier: float, cars: int) -> str:
    """Odds said of the first repair against the share that was right, as SVG text; a dot's bar is its 95 % interval.

    `brier`: the score of all odds then, 0 where they are always right and sure.
    """
    told = "; ".join(f"{odds:.0%} said, {right:.0%} right of {count}" for odds, right, count in bands)
    alt = f"Reliability of the odds: {told}; Brier score {brier:.3f}"
    canvas = Canvas(CORNER[1] + SIDE + 44, alt, "sans-serif", WIDTH)
    canvas.box(0, 0, WIDTH, canvas.height, fill="#ffffff")
    canvas.words(LEFT, 20, "Are the odds right?", size=14, bold=True)
    canvas.words(LEFT, 39, f"{cars:,} made-up cars, half bent, 5 % of answers wrong; Brier {brier:.3f}", fill=FAINT)
    across = Scale(low=0.0, high=1.0, start=CORNER[0], end=CORNER[0] + SIDE)
    up = Scale(low=0.0, high=1.0, start=CORNER[1] + SIDE, end=CORNER[1])
    for tick in (0.0, 0.25, 0.5, 0.75, 1.0):
        canvas.line(across.at(tick), up.at(0), across.at(tick), up.at(1), stroke=LINE)
        canvas.line(across.at(0), up.at(tick), across.at(1), up.at(tick), stroke=LINE)
        canvas.words(across.at(tick), up.at(0) + 16, f"{tick:.0%}", fill=FAINT, anchor="middle")
        canvas.words(across.at(0) - 6, up.at(tick) + 4, f"{tick:.0%}", fill=FAINT, anchor="end")
    canvas.line(across.at(0), up.at(0), across.at(1), up.at(1), stroke=FAINT)
    canvas.words(across.at(0), up.at(1) - 8, "share right", fill=FAINT)
    canvas.words(across.at(1), up.at(0) + 34, "odds said of the first repair", fill=FAINT, anchor="end")
    for odds, right, count in bands:
        low, high = wilson(round(right * count), count)
        canvas.line(across.at(odds), up.at(low), across.at(odds), up.at(high), stroke=INK, width=2)
        canvas.dot(across.at(odds), up.at(right), fill=BLUE)
        canvas.words(across.at(odds) - 8, up.at(right) - 6, f"{count}", fill=FAINT, anchor="end")
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

"""The ways of choosing tests as a picture: minutes as bars, how often the right fault is on top as dots."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.record.pictures.canvas import AMBER, BLUE, FAINT, INK, LINE, WIDTH, Canvas, Scale

Row = tuple[str, float, tuple[float, float], float, tuple[float, float]]
"""Name, mean minutes, their 95 % interval, share right, its 95 % interval."""

OURS = 3
"""The first rows are the assistant's own and stand out."""
ROW_HEIGHT = 40
TOP = 58
BARS = (12.0, 270.0)
DOTS = (305.0, 448.0)


def draw_ways(rows: Sequence[Row], cars: int) -> str:
    """The picture as SVG text."""
    height = TOP + ROW_HEIGHT * len(rows) + 34
    best = rows[0]
    alt = f"Minutes and right diagnoses of {len(rows)} ways to choose tests; {best[0]} {best[1]:.0f} min, {best[3]:.0%}"
    canvas = Canvas(height, alt, "sans-serif")
    canvas.box(0, 0, WIDTH, height, fill="#ffffff")
    minutes = Scale(low=0.0, high=max(row[2][1] for row in rows) * 1.05, start=BARS[0], end=BARS[1])
    shares = Scale(low=0.4, high=1.0, start=DOTS[0], end=DOTS[1])
    canvas.words(BARS[0], 20, f"Which test next? {cars} made-up cars, 5 % of answers wrong", size=14, bold=True)
    canvas.words(BARS[0], 42, "mean minutes to the end", fill=FAINT)
    canvas.words(DOTS[0], 42, "right fault on top", fill=FAINT)
    bottom = TOP + ROW_HEIGHT * len(rows)
    for tick in minutes.ticks(5):
        canvas.line(minutes.at(tick), TOP, minutes.at(tick), bottom)
        canvas.words(minutes.at(tick), bottom + 16, f"{tick:g}", fill=FAINT, anchor="middle")
    for tick in (0.4, 0.6, 0.85, 1.0):
        canvas.line(shares.at(tick), TOP, shares.at(tick), bottom, stroke=INK if tick == 0.85 else LINE)
        canvas.words(shares.at(tick), bottom + 16, f"{tick:.0%}", fill=FAINT, anchor="middle")
    for number, (name, mean, (low, high), right, (least, most)) in enumerate(rows):
        y = TOP + ROW_HEIGHT * number
        colour = BLUE if number < OURS else AMBER
        canvas.words(BARS[0] + 2, y + 14, f"{name}: {mean:.0f} min", bold=number == 0)
        canvas.box(minutes.start, y + 20, minutes.at(mean) - minutes.start, 12, fill=colour, opacity=0.75)
        canvas.line(minutes.at(low), y + 26, minutes.at(high), y + 26, stroke=INK, width=2)
        canvas.line(shares.at(least), y + 26, shares.at(most), y + 26, stroke=INK, width=2)
        canvas.dot(shares.at(right), y + 26, fill=colour)
        canvas.box(shares.at(right) - 15, y + 2, 30, 15, fill="#ffffff")
        canvas.words(shares.at(right), y + 14, f"{right:.0%}", anchor="middle", bold=number == 0)
    return canvas.svg()

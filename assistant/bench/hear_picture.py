"""Shares heard right by noise level as a picture, for each group of voices, with 95 % intervals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from assistant.record.pictures.canvas import AMBER, BLUE, FAINT, INK, LINE, Canvas, Scale

HEIGHT = 260
LEFT, RIGHT = 44.0, 430.0
TOP, BOTTOM = 56.0, 206.0
ASKED = {15.0: 0.99, 9.0: 0.98, 6.0: 0.96, 3.0: 0.90}
"""What we ask of ourselves at each level."""


def draw(rows: Sequence[Mapping[str, Any]]) -> str:
    """The picture as SVG text. `rows`: voices, snr_db, right, right_95, wrong, refused."""
    groups = list(dict.fromkeys(row["voices"] for row in rows))
    levels = sorted({row["snr_db"] for row in rows}, reverse=True)
    alt = "; ".join(f"{row['voices']} voices, {row['snr_db']:g} dB: {row['right']:.1%} right" for row in rows)
    canvas = Canvas(HEIGHT, alt, "sans-serif")
    lowest = min([0.9, *(row["right_95"][0] for row in rows)])
    shares = Scale(low=int(lowest * 20) / 20, high=1.0, start=BOTTOM, end=TOP)
    canvas.words(LEFT, 20, "Heard right, without asking, by noise", size=14, bold=True)
    canvas.words(LEFT, 38, "share of phrases; bars: 95 % interval; grey: what we ask of ourselves", fill=FAINT)
    for tick in shares.ticks(5):
        canvas.line(LEFT, shares.at(tick), RIGHT, shares.at(tick), stroke=LINE)
        canvas.words(LEFT - 6, shares.at(tick) + 4, f"{tick:.0%}", fill=FAINT, anchor="end")
    width = (RIGHT - LEFT) / len(levels)
    for place, level in enumerate(levels):
        middle = LEFT + width * (place + 0.5)
        canvas.words(middle, BOTTOM + 18, f"{level:g} dB", anchor="middle")
        if level in ASKED and ASKED[level] >= shares.low:
            canvas.line(middle - width * 0.3, shares.at(ASKED[level]), middle + width * 0.3, shares.at(ASKED[level]))
        for number, group in enumerate(groups):
            for row in rows:
                if row["voices"] == group and row["snr_db"] == level:
                    x = middle + (number - (len(groups) - 1) / 2) * 34
                    low, high = row["right_95"]
                    canvas.line(x, shares.at(low), x, shares.at(high), stroke=INK, width=2)
                    canvas.dot(x, shares.at(row["right"]), fill=(BLUE, AMBER)[number % 2])
                    canvas.words(x + 6, shares.at(row["right"]) + 4, f"{row['right']:.0%}")
    for number, group in enumerate(groups):
        canvas.dot(LEFT + 6 + 150 * number, BOTTOM + 38, fill=(BLUE, AMBER)[number % 2])
        canvas.words(LEFT + 16 + 150 * number, BOTTOM + 42, f"{group} voices")
    return canvas.svg()

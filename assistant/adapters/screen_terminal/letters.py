"""Words in letters several rows tall, as tall as the room for them allows."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from assistant.adapters.screen_terminal.font import dots, knows

_PLAIN = str.maketrans({"\u2013": "-", "\u2014": "-", "\u2018": "'", "\u2019": "'", "\u201c": '"', "\u201d": '"'})
"""Typographic dashes and quotation marks, which the letters lack."""

_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Blocks by which of their quarters are filled: 1 upper left, 2 upper right, 4 lower left, 8 lower right."""

Drawing = Callable[[str], tuple[str, ...]]


@lru_cache(maxsize=256)
def large(text: str, width: int, rows: int) -> tuple[str, ...]:
    """The rows of `text` in the tallest letters that fit into width and rows; `()` when only plain text fits."""
    plain = " ".join(text.translate(_PLAIN).split())
    if not plain or not knows(plain):
        return ()
    for drawing in (_tall, _middle, _narrow):
        drawn = _wrapped(plain.split(), drawing, width)
        if drawn and len(drawn) <= rows:
            return drawn
    return ()


def _tall(text: str) -> tuple[str, ...]:
    """Two characters a dot: eight rows, twelve columns a letter."""
    return tuple("".join("██" if dot == "#" else "  " for dot in row) for row in dots(text))


def _middle(text: str) -> tuple[str, ...]:
    """Half a character a dot, one above the other: four rows, six columns a letter."""
    return _blocks([[dot for dot in row for _ in range(2)] for row in dots(text)])


def _narrow(text: str) -> tuple[str, ...]:
    """A quarter of a character a dot: four rows, three columns a letter, for longer sentences."""
    return _blocks([list(row) for row in dots(text)])


def _blocks(rows: list[list[str]]) -> tuple[str, ...]:
    """Rows of dots as blocks, each of two rows and two columns of them."""
    filled = [[dot == "#" for dot in (*row, " ")] for row in rows]
    return tuple(
        "".join(
            _QUARTERS[upper[at] + 2 * upper[at + 1] + 4 * lower[at] + 8 * lower[at + 1]]
            for at in range(0, len(upper) - 1, 2)
        )
        for upper, lower in zip(filled[::2], filled[1::2], strict=True)
    )


def _wrapped(words: list[str], drawing: Drawing, width: int) -> tuple[str, ...]:
    """As many words to a line as the width holds; nothing when a single word is wider."""
    lines: list[str] = []
    for word in words:
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and len(drawing(longer)[0]) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    drawn = [[row.rstrip() for row in drawing(line)] for line in lines]
    if any(len(row) > width for line in drawn for row in line):
        return ()
    rows = [row for line in drawn for row in line]
    return tuple(rows) if rows[-1] else tuple(rows[:-1])

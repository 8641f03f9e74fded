"""Words in letters several rows tall, as tall as the room for them allows, where the extra `letters` is installed."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

_FONTS = {"mono12": " ", "mono9": " ", "smblock": "  "}
"""Tallest first, each with what stands between words: TOIlet's block letters, as pyfiglet ships them."""

_PLAIN = str.maketrans({"\u2013": "-", "\u2014": "-", "\u2018": "'", "\u2019": "'", "\u201c": '"', "\u201d": '"'})
"""Typographic dashes and quotation marks, which the letters lack."""


@lru_cache(maxsize=256)
def large(text: str, width: int, rows: int) -> tuple[str, ...]:
    """The rows of `text` in the tallest letters that fit into width and rows; `()` when only plain text can be."""
    plain = text.translate(_PLAIN)
    for font, gap in _FONTS.items() if plain.isascii() else ():
        figlet = _figlet(font)
        drawn = _drawn(plain.split(), gap, figlet, width) if figlet else ()
        if drawn and len(drawn) <= rows:
            return drawn
    return ()


@cache
def _figlet(font: str) -> Any:
    """Reading a font takes a tenth of a second; a count-down draws five times in one. None without the extra."""
    try:
        from pyfiglet import Figlet  # noqa: PLC0415 - an extra: without it the screen shows the same words, bold
    except ImportError:
        return None
    return Figlet(font=font, width=10_000)


def _drawn(words: list[str], gap: str, figlet: Any, width: int) -> tuple[str, ...]:
    """None of it when a single word is wider than the screen."""
    rows: list[str] = []
    for line in _wrapped(words, gap, figlet, width):
        rows += [*_rows(line, figlet), ""]
    return () if max(map(len, rows), default=0) > width else tuple(rows[:-1])


def _wrapped(words: list[str], gap: str, figlet: Any, width: int) -> list[str]:
    lines: list[str] = []
    for word in words:
        longer = f"{lines[-1]}{gap}{word}" if lines else word
        if lines and max(map(len, _rows(longer, figlet)), default=0) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _rows(line: str, figlet: Any) -> list[str]:
    """The drawn rows without empty ones at either end."""
    rows = [row.rstrip() for row in str(figlet.renderText(line)).splitlines()]
    while rows and not rows[-1]:
        rows.pop()
    while rows and not rows[0]:
        rows.pop(0)
    return rows

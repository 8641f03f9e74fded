"""How wide text is, and where to break it, without asking a screen.

Widths are those of DejaVu Sans (from memory), a wide face, so that text set in a narrower one fits all the more.
"""

from __future__ import annotations

_WIDTHS = {
    **dict.fromkeys("iIjl'|.,:;!", 0.34),
    **dict.fromkeys("ftr()[]-/ ", 0.42),
    **dict.fromkeys("mMwW%…", 0.98),
    **dict.fromkeys("ABCDEFGHKNOPQRSTUVXYZ&+=<>≥", 0.79),
}
_USUAL = 0.64
_BOLD = 1.1


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """The width of a text in pixels at a size in pixels; rather too much than too little."""
    return sum(_WIDTHS.get(char, _USUAL) for char in text) * size * (_BOLD if bold else 1.0)


def wrap(text: str, width: float, size: float, *, most: int | None = None, bold: bool = False) -> list[str]:
    """The lines of a text within `width` pixels; beyond `most` lines the last ends in an ellipsis."""
    lines: list[str] = []
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size, bold=bold) <= width:
            lines[-1] = joined
        else:
            lines += _pieces(word, width, size, bold=bold)
    if most is not None and len(lines) > most:
        lines = [*lines[: most - 1], _cut(f"{lines[most - 1]}…", width, size, bold=bold)]
    return lines


def _pieces(word: str, width: float, size: float, *, bold: bool) -> list[str]:
    """A word too long for a line is cut, after a hyphen where it has one."""
    pieces = [""]
    for part in word.replace("-", "-\0").split("\0"):
        if pieces[-1] and text_width(pieces[-1] + part, size, bold=bold) > width:
            pieces.append("")
        for char in part:
            if pieces[-1] and text_width(pieces[-1] + char, size, bold=bold) > width:
                pieces.append("")
            pieces[-1] += char
    return pieces


def _cut(line: str, width: float, size: float, *, bold: bool) -> str:
    while len(line) > 1 and text_width(line, size, bold=bold) > width:
        line = line[:-2].rstrip() + "…"
    return line

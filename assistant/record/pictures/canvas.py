"""A small canvas for SVG: shapes and words on a grid of pixels, every word escaped."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar
from xml.etree import ElementTree as ET

from assistant.record.wording import printable

Row = TypeVar("Row")

WIDTH = 340
"""Chosen so that words of LEAST_SIZE pixels print at 8 points where two pictures stand abreast on A4."""
LEAST_SIZE = 11.0
INK = "#1b2733"
FAINT = "#5b6875"
LINE = "#c9d1d9"
PANEL = "#f2f4f7"
BLUE = "#1f5f99"
AMBER = "#a85300"
GREEN = "#2e6b3f"
PALETTE = (BLUE, AMBER, GREEN, "#7a3e8e", "#4a4a4a")
"""Told apart by lightness as well as hue, and each at least 4.5 to 1 against white (WCAG 2.1, 1.4.3)."""
DASHES = ("", "7 3", "2 3", "9 3 2 3", "4 4")

_WIDEST, _OTHERS = 1.0, 0.82
_WIDTHS = {
    0.34: " ',./:;\\|\u2019ijlIJ",
    0.42: "!()-[]frt",
    0.56: '"*?L_`csz\u201c\u201d',
    0.64: "$0123456789EFPSTY{}abdeghknopquvxy",
    _WIDEST: "#%+<=>@MW^m~\u2026",
}
_EMS = {letter: ems for ems, letters in _WIDTHS.items() for letter in letters}
"""Ems that a letter takes in the widest family that a browser may show a drawing in. Source: the advance widths of
DejaVu Sans, each class rounded up to its widest letter; the letters of other scripts by judgement."""
_SHARES = {"Libertinus Serif": 0.9}
"""Of those widths what a family takes at most, where it is known. Source: the advance widths, of words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawn picture. `alt`: what it shows, in words, for whoever cannot see it. `svg`: XML text."""

    name: str
    title: str
    alt: str
    svg: str


class Canvas:
    """Draws from the top left corner; `height` in the same pixels as `width`."""

    def __init__(self, height: float, alt: str, family: str, width: float = WIDTH) -> None:
        self.height = height
        self.width = width
        self._family = family
        self._root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {width:g} {height:g}",
                "role": "img",
                "aria-label": printable(alt),
            },
        )
        ET.SubElement(self._root, "title").text = printable(alt)

    def box(self, x: float, y: float, width: float, height: float, *, fill: str, opacity: float = 1.0) -> None:
        """A filled rectangle."""
        self._add("rect", x=x, y=y, width=max(width, 0.0), height=max(height, 0.0), fill=fill, fill_opacity=opacity)

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *, stroke: str = LINE, width: float = 1.0, dash: str = ""
    ) -> None:
        """A straight line."""
        self._add("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke, stroke_width=width, stroke_dasharray=dash)

    def path(self, points: list[tuple[float, float]], *, stroke: str, dash: str = "") -> None:
        """A line through points."""
        joined = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        self._add("polyline", points=joined, fill="none", stroke=stroke, stroke_width=2.2, stroke_dasharray=dash)

    def dot(self, x: float, y: float, *, fill: str, radius: float = 4.5) -> None:
        """A filled circle."""
        self._add("circle", cx=x, cy=y, r=radius, fill=fill)

    def diamond(self, x: float, y: float, *, fill: str, radius: float = 5.0) -> None:
        """A filled square standing on its corner."""
        corners = ((x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y))
        self._add("polygon", points=" ".join(f"{a:.1f},{b:.1f}" for a, b in corners), fill=fill)

    def triangle(self, x: float, y: float, *, fill: str, radius: float = 5.0) -> None:
        """A filled triangle, point up."""
        corners = ((x, y - radius), (x + radius, y + radius * 0.8), (x - radius, y + radius * 0.8))
        self._add("polygon", points=" ".join(f"{a:.1f},{b:.1f}" for a, b in corners), fill=fill)

    def words(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 12.0,
        fill: str = INK,
        anchor: str = "start",
        bold: bool = False,
        turned: bool = False,
    ) -> None:
        """Words with their base line at `y`; `anchor`: start, middle or end; `turned`: read upwards from there.

        Raises ValueError for what is too small to print.
        """
        if size < LEAST_SIZE:
            raise ValueError(f"words of {size:g} pixels cannot be read on paper; at least {LEAST_SIZE:g}")
        element = self._add(
            "text",
            x=x,
            y=y,
            fill=fill,
            font_size=size,
            font_family=self._family,
            text_anchor=anchor,
            font_weight="bold" if bold else "",
            transform=f"rotate(-90 {x:.2f} {y:.2f})" if turned else "",
        )
        element.text = printable(text)

    def cut(self, text: str, room: float, size: float = LEAST_SIZE) -> str:
        """The text if it fits into `room` pixels, in whatever family a browser takes; else as much of it as
        does, with an ellipsis."""
        share = _SHARES.get(self._family, 1.0) * size
        left = room / share
        if sum(map(_ems, text)) <= left:
            return text
        left -= _WIDEST  # the ellipsis
        kept = 0
        while kept < len(text) and (left := left - _ems(text[kept])) >= 0:
            kept += 1
        return text[:kept].rstrip() + "\u2026"

    def svg(self) -> str:
        """The drawing as XML text."""
        return ET.tostring(self._root, encoding="unicode")

    def _add(self, tag: str, **attributes: str | float) -> ET.Element:
        texts = {
            name.replace("_", "-"): f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, int | float) else value
            for name, value in attributes.items()
            if value != ""
        }
        return ET.SubElement(self._root, tag, texts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Which part of many rows a picture shows, counted from 1."""

    first: int
    last: int
    part: int
    many: bool

    @property
    def after(self) -> str:
        """What stands behind the picture's name, so that it is told from the other parts."""
        return f"-{self.part}" if self.part > 1 else ""

    @property
    def of_many(self) -> str:
        """What stands behind its title; nothing where it is the only one."""
        return f", {self.first} to {self.last}" if self.many else ""


def parts(every: Sequence[Row], most: int) -> Iterator[tuple[Place, Sequence[Row]]]:
    """The rows cut into parts of at most `most`, in order."""
    for part, start in enumerate(range(0, len(every), most), start=1):
        rows = every[start : start + most]
        yield Place(first=start + 1, last=start + len(rows), part=part, many=len(every) > most), rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Values to pixels, linear."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """The pixel of a value, kept inside the scale."""
        share = 0.0 if self.high == self.low else (value - self.low) / (self.high - self.low)
        return self.start + min(max(share, 0.0), 1.0) * (self.end - self.start)

    def ticks(self, most: int = 6) -> tuple[float, ...]:
        """Round values inside the scale, at most about `most` of them."""
        step = tidy_step((self.high - self.low) / max(most, 1))
        first = -(-self.low // step)
        count = int((self.high - first * step) // step) + 1
        return tuple(round((first + index) * step, 9) for index in range(max(count, 0)))


def tidy_step(rough: float) -> float:
    """The next larger of 1, 2, 5 times a power of ten."""
    if rough <= 0:
        return 1.0
    power = 1.0
    while power * 10 <= rough:
        power *= 10
    while power > rough:
        power /= 10
    return next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * 0.999)


def _ems(letter: str) -> float:
    if unicodedata.combining(letter):
        return 0.0
    plain = unicodedata.normalize("NFD", letter)[0]
    wide = unicodedata.east_asian_width(letter) in "WF"
    return _WIDEST if wide else _EMS.get(plain, _OTHERS)

"""Photographs in a report: each with where and when it was taken, and its bytes inside the page, bound to its name."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from assistant.record.model import JobRecord
from assistant.record.photographs import Photographs, media_type, named_in, picture_fits, size_of
from assistant.record.wording import elapsed, plain_words

_IMAGE = re.compile(rb'<img class="photograph" data-name="([^"]*)" alt="[^"]*" src="data:[^;"]*;base64,([^"]*)">')


MOST_ON_PAPER = 8_000_000
"""Bytes of all photographs in a PDF, so that it can still be sent by mail. Judgement."""

TOO_LARGE = "not on this paper, which would grow beyond what can be mailed; it is in the HTML report"
NOT_HERE = "not at hand where this paper was made"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A photograph on paper. `svg`: a drawing that holds its bytes as they are; empty where it is not shown, and then
    the caption says why."""

    caption: str
    svg: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A photograph as a document names it."""

    name: str
    caption: str


def photographs_of(record: JobRecord) -> tuple[Taken, ...]:
    """Every photograph of the job, in order; removed ones are left out."""
    return tuple(
        Taken(name=name, caption=f"Picture {one.number}: {plain_words(one.step or '')}, at {elapsed(one.at_s)}")
        for one in record.facts
        if (name := named_in(one.said)) is not None
    )


def image_of(name: str, picture: bytes | None) -> Markup:
    """The element that shows it; empty where its bytes are not at hand, or not what its name says."""
    if picture is None or not picture_fits(name, picture):
        return Markup("")
    text = base64.b64encode(picture).decode("ascii")
    return Markup('<img class="photograph" data-name="{}" alt="The photograph" src="data:{};base64,{}">').format(
        name, media_type(name), text
    )


def printed(
    record: JobRecord, photographs: Photographs, size: Callable[[bytes], tuple[int, int]] = size_of
) -> Sequence[Printed]:
    """Every photograph of the job for paper, in order, as long as all of them are no more than `MOST_ON_PAPER`."""
    shown, left = [], MOST_ON_PAPER
    for one in photographs_of(record):
        picture = photographs(record.job, one.name)
        if picture is None or not picture_fits(one.name, picture):
            shown.append(Printed(caption=f"{one.caption}: {NOT_HERE}", svg=""))
        elif len(picture) > left:
            shown.append(Printed(caption=f"{one.caption}: {TOO_LARGE}", svg=""))
        else:
            left -= len(picture)
            shown.append(Printed(caption=one.caption, svg=_drawn(one.name, picture, size(picture))))
    return shown


def _drawn(name: str, picture: bytes, size: tuple[int, int]) -> str:
    """A drawing that is nothing but the picture, whose bytes the typesetter takes over as they are."""
    wide, high = size
    text = base64.b64encode(picture).decode("ascii")
    image = f'<image width="{wide}" height="{high}" href="data:{media_type(name)};base64,{text}"/>'
    box = f'width="{wide}" height="{high}" viewBox="0 0 {wide} {high}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {box}>{image}</svg>'


def without_images(html: bytes) -> tuple[bytes, tuple[str, ...]]:
    """A report without the bytes of its photographs, and the names of those that are not what their names say: a report
    that is made anew need not have them at hand, since the facts bind them."""
    wrong = tuple(
        name.decode("utf-8", "replace")
        for name, text in _IMAGE.findall(html)
        if not picture_fits(name.decode("utf-8", "replace"), _decoded(text))
    )
    return _IMAGE.sub(b"", html), wrong


def _decoded(text: bytes) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except ValueError:
        return b""

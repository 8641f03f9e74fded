"""Photographs in a report: each with where and when it was taken, and its bytes inside the page, bound to its name."""

from __future__ import annotations

import base64
import re
from dataclasses import dataclass

from markupsafe import Markup

from assistant.record.model import JobRecord
from assistant.record.photographs import media_type, named_in, picture_fits
from assistant.record.read_fact import plain_words
from assistant.record.wording import elapsed

_IMAGE = re.compile(rb'<img class="photograph" data-name="([^"]*)" alt="[^"]*" src="data:[^;"]*;base64,([^"]*)">')


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
        if (name := named_in(one.kind, one.data)) is not None
    )


def image_of(name: str, picture: bytes | None) -> Markup:
    """The element that shows it; empty where its bytes are not at hand, or not what its name says."""
    if picture is None or not picture_fits(name, picture):
        return Markup("")
    text = base64.b64encode(picture).decode("ascii")
    return Markup('<img class="photograph" data-name="{}" alt="The photograph" src="data:{};base64,{}">').format(
        name, media_type(name), text
    )


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

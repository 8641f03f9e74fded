"""The record as one HTML file: nothing to load, no script, readable by a screen reader, printed on two pages."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from assistant.record.model import JobRecord
from assistant.record.page import ABREAST, LATE, WIDE, Paper, lay_out
from assistant.record.page.photographs import Taken, image_of, photographs_of
from assistant.record.photographs import Photographs
from assistant.record.pictures import Picture, draw_pictures
from assistant.record.wording import NOT_AS_RECORDED, Localise

FAMILY = "system-ui, Liberation Sans, DejaVu Sans, sans-serif"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    title: str
    svg: Markup


def html_text(
    record: JobRecord, localise: Localise, paper: Paper = Paper.A4, photographs: Photographs = lambda _job, _name: None
) -> str:
    """The report as HTML; every word of the job is escaped. `localise` brings times into the reader's zone."""
    template = _template()
    pictures = [_drawn(one) for one in draw_pictures(record, FAMILY).values()]
    page = lay_out(record, localise, paper)
    return template.render(
        page=page,
        pictures=pictures,
        photographs=[_shown(one, record.job, photographs) for one in photographs_of(record)],
        abreast=ABREAST,
        wide=WIDE,
        late=LATE,
        not_as_recorded=NOT_AS_RECORDED,
        job=json.dumps(record.job),
        head=record.chain,
    )


@cache
def _template() -> Template:
    loader = PackageLoader("assistant.record")
    environment = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    return environment.get_template("report.html.jinja")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Photograph:
    name: str
    caption: str
    image: Markup


def _shown(one: Taken, job: str, photographs: Photographs) -> _Photograph:
    return _Photograph(name=one.name, caption=one.caption, image=image_of(one.name, photographs(job, one.name)))


def _drawn(picture: Picture) -> _Drawn:
    # The canvas escaped every word when it built the XML, so the drawing may pass as it stands.
    return _Drawn(title=picture.title, svg=Markup(picture.svg))

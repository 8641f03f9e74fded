"""The record as PDF, set by Typst from the same page and the same pictures as the HTML.

Typst ships in a wheel with its fonts, needs nothing of the system, tags the document for screen readers, and takes the
job's words as data, so that none of them can be read as markup.
"""

from __future__ import annotations

import dataclasses
import json
from importlib import resources

import typst

from assistant.record.model import JobRecord
from assistant.record.page import Table, lay_out
from assistant.record.pictures import draw_pictures
from assistant.record.wording import Localise

FAMILY = "Libertinus Serif"
PLACES = {
    "readings": "first",
    "results": "first",
    "codes": "first",
    "bursts": "left",
    "actions": "left",
    "steps": "right",
    "struck": "right",
}
"""Where each table stands: before the pictures or in one of two columns at the end; others take the whole width."""
WORDY = frozenset({"Words", "Answered at", "Asked", "Judgement", "Source of the limit", "Reason", "Step", "Code"})
"""Columns that take the room that is left."""


def pdf_bytes(record: JobRecord, localise: Localise) -> bytes:
    """The report as a PDF file's bytes. `localise` brings times of day into the reader's zone."""
    page = dataclasses.asdict(lay_out(record, localise))
    page["tables"] = [_table(table) for table in lay_out(record, localise).tables]
    page["pictures"] = [
        {"title": one.title, "alt": one.alt, "svg": one.svg} for one in draw_pictures(record, FAMILY).values()
    ]
    template = resources.files("assistant.record").joinpath("templates", "report.typ").read_bytes()
    made = typst.compile(template, format="pdf", sys_inputs={"page": json.dumps(page)})
    if not isinstance(made, bytes):
        raise TypeError("one PDF was expected")
    return made


def _table(table: Table) -> dict[str, object]:
    wide = [index for index, name in enumerate(table.columns) if name in WORDY]
    return {**dataclasses.asdict(table), "wide": wide, "place": PLACES.get(table.name, "wide")}

"""The record as PDF, set by Typst from the same page and the same pictures as the HTML.

Typst, the extra `pdf`, ships in a wheel with its fonts, needs nothing of the system, tags the document for screen
readers, and takes the job's words as data, so that none of them can be read as markup.
"""

from __future__ import annotations

import dataclasses
import json
from importlib import resources
from typing import Any

from assistant.errors import SetupError
from assistant.record.model import JobRecord
from assistant.record.page import ABREAST, LATE, WIDE, Table, lay_out
from assistant.record.pictures import draw_pictures
from assistant.record.wording import NOT_AS_RECORDED, Localise

FAMILY = "Libertinus Serif"
LONG_ROWS = 14
"""A table of so many rows is set in two halves where tables stand abreast."""
WORDY = frozenset({"Words", "Answered at", "Asked", "Judgement", "Source of the limit", "Reason", "Step", "Code"})
"""Columns that take the room that is left."""


def pdf_bytes(record: JobRecord, localise: Localise) -> bytes:
    """The report as a PDF file's bytes. `localise` brings times of day into the reader's zone.

    Raises SetupError where Typst is not installed.
    """
    typst = _typst()
    laid = lay_out(record, localise)
    page = dataclasses.asdict(laid)
    page["not_as_recorded"] = NOT_AS_RECORDED
    page["tables"] = _placed(laid.tables)
    page["pictures"] = [
        {"title": one.title, "alt": one.alt, "svg": one.svg} for one in draw_pictures(record, FAMILY).values()
    ]
    template = resources.files("assistant.record").joinpath("templates", "report.typ").read_bytes()
    made = typst.compile(template, format="pdf", sys_inputs={"page": json.dumps(page)})
    if not isinstance(made, bytes):
        raise TypeError("one PDF was expected")
    return made


def _typst() -> Any:
    try:
        import typst  # noqa: PLC0415 - an extra: who prints from HTML need not carry it
    except ImportError as error:
        raise SetupError(
            "A PDF needs the package typst: install it with: python -m pip install 'typst>=0.13'; "
            "or make html, which prints on two pages."
        ) from error
    return typst


def _placed(tables: tuple[Table, ...]) -> list[dict[str, object]]:
    """The tables with their places on paper; those that stand abreast are shared out so that both sides are as long."""
    placed = [_plain(table, "first") for table in tables if table.name == "readings"]
    for names, place in ((ABREAST, "abreast"), (LATE, "late")):
        left = right = 0
        for part in (half for table in tables if table.name in names for half in _halves(table)):
            length = len(part.rows) + 2
            placed.append(_plain(part, f"{place} {'left' if left <= right else 'right'}"))
            left, right = (left + length, right) if left <= right else (left, right + length)
    return placed + [_plain(table, "wide") for table in tables if table.name in WIDE]


def _halves(table: Table) -> tuple[Table, ...]:
    if len(table.rows) < LONG_ROWS:
        return (table,)
    middle = (len(table.rows) + 1) // 2
    return (
        dataclasses.replace(table, rows=table.rows[:middle], note=""),
        dataclasses.replace(table, rows=table.rows[middle:], title=f"{table.title}, continued"),
    )


def _plain(table: Table, place: str) -> dict[str, object]:
    wide = [index for index, name in enumerate(table.columns) if name in WORDY]
    return {**dataclasses.asdict(table), "wide": wide, "place": place}

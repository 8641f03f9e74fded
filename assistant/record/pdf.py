"""The record as PDF, set by Typst from the same page and the same pictures as the HTML.

Typst, the extra `pdf`, ships in a wheel with its fonts, needs nothing of the system, tags the document for screen
readers, and takes the job's words as data, so that none of them can be read as markup.
"""

from __future__ import annotations

import dataclasses
import json
import re
import unicodedata
from importlib import resources
from typing import Any

from assistant.errors import SetupError
from assistant.record.model import JobRecord
from assistant.record.page import ABREAST, LATE, WIDE, Paper, Table, lay_out
from assistant.record.page.columns import SHARES, two_abreast
from assistant.record.page.photographs import printed
from assistant.record.photographs import Photographs
from assistant.record.pictures import draw_pictures
from assistant.record.wording import NOT_AS_RECORDED, Localise

FAMILY = "Libertinus Serif"
PICTURE_PPI = 96
LONGEST_RUN = 24
"""Signs without a blank; a longer word may be broken at any of these many."""

_UNSHOWN = re.compile("[^\x00-\u05ff\u1e00-\u25ff\ufffd\ufb00-\ufb06]+")
"""What the fonts that come with Typst do not draw: marks of emoji, East Asian and other scripts."""
_RUN = re.compile(rf"\S{{{LONGEST_RUN}}}(?=\S)")
_MARKS = re.compile("[\ufe00-\ufe0f\U000e0100-\U000e01ef]")
"""Which only choose between two drawings of the sign before them."""


def _none_at_hand(_job: str, _name: str) -> None:
    return None


def pdf_bytes(
    record: JobRecord, localise: Localise, paper: Paper = Paper.A4, photographs: Photographs = _none_at_hand
) -> bytes:
    """The report as a PDF file's bytes. `localise` brings times of day into the reader's zone.

    Raises SetupError where Typst is not installed.
    """
    made: bytes = _compiled(record, localise, paper, photographs, format="pdf")
    return made


def pages_as_pictures(
    record: JobRecord, localise: Localise, paper: Paper = Paper.A4, photographs: Photographs = _none_at_hand
) -> tuple[bytes, ...]:
    """Each page as a PNG, to look at without a reader of PDF. Raises SetupError where Typst is not installed."""
    made = _compiled(record, localise, paper, photographs, format="png", ppi=PICTURE_PPI)
    return tuple(made) if isinstance(made, list) else (made,)


def _compiled(record: JobRecord, localise: Localise, paper: Paper, photographs: Photographs, **how: Any) -> Any:
    typst = typesetter()
    laid = lay_out(record, localise, paper)
    page = dataclasses.asdict(laid)
    page["not_as_recorded"] = NOT_AS_RECORDED
    page["bands"] = _bands(laid.tables)
    del page["tables"]
    page["paper"] = {Paper.A4: "a4", Paper.LETTER: "us-letter"}[paper]
    page["pictures"] = [
        {"title": one.title, "alt": one.alt, "svg": shown_on_paper(one.svg)}
        for one in draw_pictures(record, FAMILY).values()
    ]
    page["photographs"] = [dataclasses.asdict(one) for one in printed(record, photographs)]
    template = resources.files("assistant.record").joinpath("templates", "report.typ").read_bytes()
    told = json.dumps(_for_paper(page), ensure_ascii=True)
    return typst.compile(template, sys_inputs={"page": told}, **how)


def shown_on_paper(words: str) -> str:
    """The words with a plain sign in brackets for what the fonts cannot draw: an emoji's name, or how many signs."""

    def told(found: re.Match[str]) -> str:
        signs = _MARKS.sub("", found.group())
        if not signs:
            return ""
        if all(unicodedata.category(sign) in ("So", "Sk") for sign in signs):
            return "".join(f"[{unicodedata.name(sign, 'sign').lower()}]" for sign in signs)
        count = "1 sign" if len(signs) == 1 else f"{len(signs)} signs"
        return f"[{count} of another script]"

    return _UNSHOWN.sub(told, words)


def _for_paper(value: Any, key: str = "") -> Any:
    """All words of the page as paper shows them; long runs may be broken, but for what is copied off the page."""
    if isinstance(value, str):
        shown = shown_on_paper(value)
        return shown if key in ("svg", "alt", "chain") else _RUN.sub(lambda run: f"{run.group()}\u200b", shown)
    if isinstance(value, dict):
        return {name: _for_paper(one, name) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_for_paper(one, key) for one in value]
    return value


def typesetter() -> Any:
    """The library that sets pages. Raises SetupError where it is not installed."""
    try:
        import typst  # noqa: PLC0415 - an extra: who prints from HTML need not carry it
    except ImportError as error:
        raise SetupError(
            "A PDF needs the package typst: install it with: python -m pip install 'typst>=0.13'; "
            "or make html, which a browser prints."
        ) from error
    return typst


def _bands(tables: tuple[Table, ...]) -> dict[str, list[list[list[dict[str, object]]]]]:
    """Before and after the pictures, strips of the page in their order: each of one column or of two.

    Narrow tables run down the left column and then the right one.
    """
    before = [table for table in tables if table.name == "readings"], [one for one in tables if one.name in ABREAST]
    after = [table for table in tables if table.name in WIDE], [one for one in tables if one.name in LATE]
    return {
        name: [*([[_plain(one)]] for one in wide), *_strips(narrow)]
        for name, (wide, narrow) in (("before", before), ("after", after))
    }


def _strips(tables: list[Table]) -> list[list[list[dict[str, object]]]]:
    return [[[_plain(one) for one in side] for side in strip] for strip in two_abreast(tables)]


def _plain(table: Table) -> dict[str, object]:
    shares = [SHARES.get(name, 0) for name in table.columns]
    return {**dataclasses.asdict(table), "shares": shares}

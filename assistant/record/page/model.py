"""What a document prints: rows, tables and the page, in ready texts."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

ABREAST = ("results", "bursts", "codes")
"""Tables after the readings that stand two abreast on paper."""
WIDE = ("cautions", "notes", "skipped")
"""Tables with long words, over the whole width, after the pictures."""
LATE = ("gates", "steps", "actions", "struck")
"""Tables at the end, two abreast on paper."""


class Paper(StrEnum):
    """What a document is printed on."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of a table. `struck`: it no longer counts, and stays."""

    cells: tuple[str, ...]
    struck: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table with its caption. `numbers`: columns set to the right. `note` stands below."""

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    numbers: tuple[int, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Everything that a document prints, in words. `shop`, `technician`: empty where nobody said who."""

    title: str
    job: str
    state: str
    statement: str
    when: str
    headline: str
    finding_parts: tuple[tuple[str, str], ...]
    customer: str
    warnings: tuple[str, ...]
    vehicle: tuple[tuple[str, str], ...]
    complaint: tuple[Row, ...]
    tables: tuple[Table, ...]
    sources: tuple[str, ...]
    chain: tuple[tuple[str, str], ...]
    shop: str = ""
    technician: str = ""
    paper: Paper = Paper.A4
    damage: tuple[str, ...] = ()

    def table(self, name: str) -> Table | None:
        """The table of that name, or None where it has no rows."""
        return next((table for table in self.tables if table.name == name), None)

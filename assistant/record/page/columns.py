"""Narrow tables laid into two columns of even length, read down the left one and then down the right one."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.record.page.model import Table

SHARES = {
    **{"Words": 3, "Reason": 3, "Asked": 2, "Judgement": 1, "Source of the limit": 1, "Step": 1, "Meaning": 1},
    "Answered at": 1,
}
"""Columns of a table that share the room that is left, and how."""
SIGNS_ABREAST = 84
"""Signs of eight points that stand in one of two columns, about; measured on A4."""
HEAD_LINES = 3
"""Lines that a table's title and its head take."""
WHOLE_ROWS = 12
"""A table with so many rows at most is not parted. Judgement."""
MOST_LINES = 26
"""Lines of a column at most, so that the eye need not turn pages between left and right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """One row of a table with the lines it takes."""

    table: Table
    row: int
    lines: int


def two_abreast(tables: Sequence[Table]) -> list[tuple[list[Table], list[Table]]]:
    """Strips of the page in their order, each with its left and its right column."""
    strips: list[list[_Line]] = [[]]
    for table in tables:
        rows = [_Line(table=table, row=at, lines=lines) for at, lines in enumerate(_lines(table))]
        parts = [[one] for one in rows] if len(rows) > WHOLE_ROWS else [rows]
        for part in parts:
            if strips[-1] and _height([*strips[-1], *part]) > 2 * MOST_LINES:
                strips.append([])
            strips[-1].extend(part)
    return [_balanced(strip) for strip in strips if strip]


def _balanced(strip: Sequence[_Line]) -> tuple[list[Table], list[Table]]:
    """Parted where both columns come out most alike, within a table only where it is long."""

    def longer(at: int) -> tuple[int, int]:
        left, right = _height(strip[:at]), _height(strip[at:])
        return max(left, right), -at

    ends = [at for at in range(1, len(strip) + 1) if _may_part(strip, at)]
    at = min(ends, key=longer)
    return _tables(strip[:at]), _tables(strip[at:])


def _may_part(strip: Sequence[_Line], at: int) -> bool:
    if at == len(strip) or strip[at].table is not strip[at - 1].table:
        return True
    return len(strip[at].table.rows) > WHOLE_ROWS


def _tables(rows: Sequence[_Line]) -> list[Table]:
    """The rows as tables again: a later part says that it goes on, only the last part has the note."""
    found: list[Table] = []
    start = 0
    for at in range(1, len(rows) + 1):
        if at < len(rows) and rows[at].table is rows[start].table:
            continue
        table, first, last = rows[start].table, rows[start].row, rows[at - 1].row
        found.append(
            dataclasses.replace(
                table,
                rows=table.rows[first : last + 1],
                title=table.title if first == 0 else f"{table.title}, continued",
                note=table.note if last + 1 == len(table.rows) else "",
            )
        )
        start = at
    return found


def _height(rows: Sequence[_Line]) -> int:
    """Lines of a column: its rows, the heads of its tables, and the notes that end them."""
    heads = sum(at == 0 or row.table is not rows[at - 1].table for at, row in enumerate(rows))
    ends = (row.table for row in rows if row.row + 1 == len(row.table.rows))
    return sum(row.lines for row in rows) + HEAD_LINES * heads + sum(_note_lines(table) for table in ends)


def _note_lines(table: Table) -> int:
    return math.ceil(len(table.note) / SIGNS_ABREAST)


def _lines(table: Table) -> list[int]:
    """How many lines each row takes, about: columns without a share are as wide as their longest cell."""
    shares = [SHARES.get(name, 0) for name in table.columns]
    widths = [max(len(words) for words in column) + 2 for column in zip(table.columns, *_cells(table), strict=True)]
    left = max(SIGNS_ABREAST - sum(width for width, share in zip(widths, shares, strict=True) if not share), 10)
    room = [left * share / sum(shares) if share else width for width, share in zip(widths, shares, strict=True)]
    return [
        max(math.ceil(len(cell) / max(width, 1)) for cell, width in zip(cells, room, strict=True))
        for cells in _cells(table)
    ]


def _cells(table: Table) -> list[tuple[str, ...]]:
    return [row.cells for row in table.rows]

"""Cells that several tables share."""

from __future__ import annotations

from dataclasses import replace

from assistant.language.model import TYPED
from assistant.record.clips import clip_label
from assistant.record.model import Hearing, Mark
from assistant.record.page.model import Row, Table
from assistant.record.personal import REMOVED
from assistant.record.wording import bounded, percent

UNSAID = ("known before", "outcome of a part")
"""Results that nobody said: the record keeps them, paper has no room for them."""


def heard(hearing: Hearing) -> str:
    """Who said it, how sure the hearing was, and whether its sound was kept."""
    sure = "typed" if hearing.engine == TYPED else percent(hearing.confidence)
    sound = f"sound {clip_label(hearing.clip)}" if hearing.clip and hearing.clip != REMOVED else ""
    parts = [hearing.by if hearing.by != "technician" else "", sure, sound]
    return ", ".join(part for part in parts if part)


def row(mark: Mark, *cells: str) -> Row:
    """The cells as printed, struck where the mark is."""
    return Row(cells=tuple(bounded(cell) for cell in cells), struck=mark.struck_by is not None)


def without_empty(table: Table) -> Table:
    """The table without the columns that no row fills: what no ear listened for has none."""
    kept = [at for at in range(len(table.columns)) if any(one.cells[at] for one in table.rows)]
    return replace(
        table,
        columns=tuple(table.columns[at] for at in kept),
        rows=tuple(replace(one, cells=tuple(one.cells[at] for at in kept)) for one in table.rows),
        numbers=tuple(new for new, at in enumerate(kept) if at in table.numbers),
    )

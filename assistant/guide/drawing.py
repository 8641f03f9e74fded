"""The table as a picture: a Mermaid state diagram, which many viewers of plain text files draw by themselves."""

from __future__ import annotations

from assistant.guide.state import Mode
from assistant.guide.table import LIVE, ROWS, SAME

ANYWHERE = "live"
"""Stands for every live mode, so that what is always possible is drawn once."""


def draw_modes() -> str:
    """Every row of the table that changes the mode; what happens in all live modes leads from one common box."""
    arrows: dict[tuple[str, str], list[str]] = {}
    for kind, modes, dest, _ in ROWS:
        if dest == SAME:
            continue
        sources = [ANYWHERE] if set(modes) == set(LIVE) else [mode.value for mode in modes]
        for source in sources:
            if source != str(dest):
                facts = arrows.setdefault((source, str(dest)), [])
                facts += [] if kind.value in facts else [kind.value]
    lines = ["stateDiagram-v2", f"  [*] --> {Mode.NEW.value}"]
    lines += [f"  {source} --> {dest}: {', '.join(facts)}" for (source, dest), facts in arrows.items()]
    return "\n".join([*lines, f"  {Mode.ENDED.value} --> [*]", ""])

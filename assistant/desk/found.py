"""A job as the desk asks for it by name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.errors import UsageError
from assistant.record.chain import Entry

if TYPE_CHECKING:  # the ports bring the arithmetic of sound with them
    from assistant.ports import Archive


def entries_of(archive: Archive, job: str) -> tuple[Entry, ...]:
    """The job's chain as kept. Raises UsageError where there is none."""
    entries = archive.entries(job)
    if not entries:
        raise UsageError(f"There is no job '{job}'; `hoodside jobs list` names them.")
    return entries

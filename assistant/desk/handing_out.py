"""Jobs on their way out: exported only where they are as recorded, sealed, and with what was removed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.desk.found import entries_of
from assistant.record.exchange import export_line
from assistant.record.log import Signed, Signer
from assistant.record.seal import Seal, sealed
from assistant.record.texts import texts_of
from assistant.record.verify import removals_of, verify_head, verify_job

if TYPE_CHECKING:  # the ports bring the arithmetic of sound with them
    from assistant.ports import Archive


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """The file's content, how many jobs are in it, and why others are not, a sentence each."""

    content: bytes
    count: int
    left_out: tuple[str, ...]


def make_export(
    archive: Archive, jobs: Sequence[str], signer: Signer | None, signed: Signed, *, personal: bool = True
) -> Exported:
    """These jobs as one sealed file. `signed`: whether a key signed a message. Raises UsageError for an unknown job."""
    lines: list[str] = []
    left_out = list(verify_head(archive, signed).wrong)
    written: set[str] = set()
    for job in jobs if not left_out else ():
        entries = entries_of(archive, job)
        wrong = verify_job(archive, job).wrong
        if wrong:
            left_out.append(f"job '{job}' was left out: {wrong[0]}")
            continue
        texts = {digest: text for digest, text in texts_of(entries, archive.text).items() if digest not in written}
        written |= texts.keys()
        removals = removals_of(archive.logged(job))
        lines.append(export_line(entries, personal=personal, removals=removals, texts=texts))
    content = sealed("".join(lines).encode(), "export", Seal(log=archive.log_head()), signer)
    return Exported(content=content, count=len(lines), left_out=tuple(left_out))

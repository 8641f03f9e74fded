"""Procedures as they were kept or shipped, read and not checked: to word what a job did, not to lead one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from assistant.procedure.model import Procedure
from assistant.procedure.reader import read_procedure
from assistant.record.chain import Entry
from assistant.record.texts import named_texts
from assistant.wiring.folders import PROCEDURE_SUFFIX, shipped_folder


def procedures_at_hand(ids: Iterable[str]) -> dict[str, Procedure]:
    """The shipped procedures of these ids, as far as they are there and can be read."""
    found: dict[str, Procedure] = {}
    for name in ids:
        path = shipped_folder("procedures") / f"{Path(name).name}{PROCEDURE_SUFFIX}"
        if path.is_file():
            loaded = read_procedure(str(path), path.read_text(encoding="utf-8"))
            if loaded.procedure is not None:
                found[name] = loaded.procedure
    return found


def procedures_of_job(entries: Sequence[Entry], text: Callable[[str], str | None]) -> dict[str, Procedure]:
    """The procedures that the job was begun with, by id, from the texts that were kept with it; as far as they can be
    read. Empty for jobs older than that. `text`: digest -> text as kept, see `ports.Archive`.
    """
    found = (_as_kept(name, digest, text) for name, digest in named_texts(entries).items())
    return {loaded.id: loaded for loaded in found if loaded is not None}


def procedures_for(
    entries: Sequence[Entry], text: Callable[[str], str | None], ids: Iterable[str]
) -> dict[str, Procedure]:
    """The procedures of these ids as the job was begun with them; for jobs that name no texts, the shipped ones."""
    named = named_texts(entries)
    if not named:
        return procedures_at_hand(ids)
    found = {name: _as_kept(name, named[name], text) for name in ids if name in named}
    return {name: loaded for name, loaded in found.items() if loaded is not None}


def _as_kept(name: str, digest: str, text: Callable[[str], str | None]) -> Procedure | None:
    kept = text(digest)
    return None if kept is None else read_procedure(f"{name}{PROCEDURE_SUFFIX}", kept).procedure

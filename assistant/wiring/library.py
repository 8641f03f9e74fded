"""Procedures read from their files, checked before anybody follows them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from assistant.errors import ProcedureError, UsageError
from assistant.language.commands import command_phrases
from assistant.language.grammars import called_from
from assistant.procedure.checks.library import check_library
from assistant.procedure.fault import Fault
from assistant.procedure.model import Procedure
from assistant.procedure.nodes import MAX_BYTES
from assistant.procedure.reader import read_procedure
from assistant.wiring.folders import PROCEDURE_SUFFIX, find_procedure, shipped_folder, shipped_procedures


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


def read_text(path: Path) -> str:
    """The text of a procedure file. Raises UsageError when it cannot be read, ProcedureError when it is too large
    or no text."""
    try:
        size = path.stat().st_size
        raw = b"" if size > MAX_BYTES else path.read_bytes()
    except OSError as error:
        raise UsageError(f"'{path}' cannot be read: {error.strerror or error}.") from error
    if size > MAX_BYTES:
        raise ProcedureError(f"{path}: found {size:,} bytes; a procedure file has at most {MAX_BYTES:,}.")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise ProcedureError(
            f"{path}: found bytes that are no UTF-8 text at byte {error.start}; save it as UTF-8."
        ) from error


def load_library(name: str) -> tuple[str, dict[str, Procedure]]:
    """The id of the procedure named (a path or a shipped id), and it with every procedure that it can call.

    Raises UsageError when there is none, ProcedureError with its first fault when it is not fit to use.
    """
    chosen = find_procedure(name)
    paths = [chosen, *(shipped_folder("procedures") / f"{each}{PROCEDURE_SUFFIX}" for each in shipped_procedures())]
    texts = {str(path): read_text(path) for path in dict.fromkeys(path.resolve() for path in paths)}
    first, *others = (read_procedure(path, text) for path, text in texts.items())
    faults: list[Fault] = list(first.faults)
    procedures: dict[str, Procedure] = {}
    for loaded in (first, *others):
        if loaded.procedure is not None:
            procedures.setdefault(loaded.procedure.id, loaded.procedure)
    if first.procedure is not None and not faults:
        wanted = called_from(first.procedure.id, procedures)
        used = {each: procedures[each] for each in wanted if each in procedures}
        faults = [fault for loaded in others if loaded.procedure in used.values() for fault in loaded.faults]
        # All are looked at, for what a called procedure takes off its caller may put back; only these are told of.
        faults = faults or check_library(procedures, command_phrases(), only=used, by_ear=False)
        if not faults:
            return first.procedure.id, used
    more = f" There are {len(faults) - 1} more faults." if len(faults) > 1 else ""
    raise ProcedureError(
        f"{faults[0]}.{more} Run: hoodside check {name}", spoken="This procedure has faults. I do not use it."
    )

"""Procedures read from their files, checked before anybody follows them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path

from assistant.errors import ProcedureError, UsageError
from assistant.language.commands import command_phrases, phrases_beside_answers
from assistant.language.grammars import called_from
from assistant.procedure.checks.library import check_library
from assistant.procedure.examples import Examples, read_examples, with_examples
from assistant.procedure.fault import Fault
from assistant.procedure.model import Procedure
from assistant.procedure.nodes import MAX_BYTES
from assistant.procedure.reader import read_procedure
from assistant.record.chain import Entry
from assistant.record.texts import file_of, named_texts
from assistant.wiring.at_hand import procedures_of_job
from assistant.wiring.folders import PROCEDURE_SUFFIX, find_procedure, shipped_folder, shipped_procedures

_WORD = re.compile(r"[a-z']+")

OWN_WORDS = "own-words.json"


def library_of_job(entries: Sequence[Entry], text: Callable[[str], str | None]) -> dict[str, Procedure]:
    """What leads the job on: every procedure that it was begun with.

    Raises UsageError where this version cannot read them any more; for jobs that name no texts those at hand are taken.
    """
    first = entries[0].fact()
    named = named_texts(entries)
    if not named:
        return load_library(str(file_of(first) or first.procedure))[1]
    used = procedures_of_job(entries, text)
    if named.keys() - used.keys():
        raise UsageError(
            f"This version cannot follow the procedures that job '{first.job}' was begun with "
            f"({', '.join(sorted(named.keys() - used.keys()))}). Its record is whole: see it with hoodside report, and "
            f"close it with: hoodside jobs close '{first.job}'"
        )
    return with_examples(used, _examples(*_examples_text()))


def trade_words() -> frozenset[str]:
    """Every word that the shipped procedures speak or listen for, in small letters."""
    words: set[str] = set()
    for name in shipped_procedures():
        text = (shipped_folder("procedures") / f"{name}{PROCEDURE_SUFFIX}").read_text(encoding="utf-8")
        words |= set(_WORD.findall(text.lower()))
    return frozenset(words)


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


def _examples_text() -> tuple[str, str]:
    """What people have answered to the shipped procedures, and the file it stands in; no text where there is none."""
    path = shipped_folder("procedures") / OWN_WORDS
    return path.read_text(encoding="utf-8") if path.is_file() else "", str(path)


def _examples(text: str, source: str) -> Examples:
    return read_examples(text, source) if text else {}


def load_library(name: str) -> tuple[str, dict[str, Procedure]]:
    """The id of the procedure named (a path or a shipped id), and it with every procedure that it can call.

    Raises UsageError when there is none, ProcedureError with its first fault when it is not fit to use.
    """
    (procedure_id,), used = load_libraries((name,))
    return procedure_id, used


def load_libraries(names: Sequence[str]) -> tuple[tuple[str, ...], dict[str, Procedure]]:
    """The ids of the procedures named (paths or shipped ids), and these with every procedure that they can call.

    The files named may call each other and the shipped ones. Raises UsageError when one is missing or two have one id,
    ProcedureError with the first fault when one is not fit to use.
    """
    chosen = list(dict.fromkeys(find_procedure(name).resolve() for name in names))
    shipped = [shipped_folder("procedures") / f"{each}{PROCEDURE_SUFFIX}" for each in shipped_procedures()]
    paths = dict.fromkeys([*chosen, *(path.resolve() for path in shipped)])
    ids, used, faults = _fit(tuple((str(path), read_text(path)) for path in paths), len(chosen), _examples_text())
    if not faults:
        return ids, dict(used)
    more = f" There are {len(faults) - 1} more faults." if len(faults) > 1 else ""
    raise ProcedureError(
        f"{faults[0]}.{more} Run: hoodside check {' '.join(names)}",
        spoken="This procedure has faults. I do not use it.",
    )


@lru_cache(maxsize=4)
def _fit(
    texts: tuple[tuple[str, str], ...], chosen: int, told: tuple[str, str]
) -> tuple[tuple[str, ...], Mapping[str, Procedure], tuple[Fault, ...]]:
    """The ids of the first `chosen` of these files, they with all that they can call, and their faults.

    `texts`: path and text. `told`: examples and where they stand. Kept, for what was found fit stays so: to read and
    check them all takes most of a second, and a rehearsal or a bench begins many jobs in one program. Raises UsageError
    where two have one id.
    """
    loaded = [read_procedure(path, text) for path, text in texts]
    first, others = loaded[:chosen], loaded[chosen:]
    faults: list[Fault] = [fault for each in first for fault in each.faults]
    procedures: dict[str, Procedure] = {}
    for each in loaded:
        if each.procedure is not None:
            procedures.setdefault(each.procedure.id, each.procedure)
    roots = [each.procedure for each in first if each.procedure is not None]
    if len(roots) < len(first) or faults:
        return (), {}, tuple(faults)
    ids = tuple(procedure.id for procedure in roots)
    if len(set(ids)) < len(ids):
        twice = next(each for place, each in enumerate(ids) if each in ids[:place])
        raise UsageError(f"Two of these files have the id '{twice}'; give one of them.")
    wanted = dict.fromkeys(each for id_ in ids for each in called_from(id_, procedures))
    used = with_examples({each: procedures[each] for each in wanted if each in procedures}, _examples(*told))
    faults = [fault for each in others if each.procedure and each.procedure.id in used for fault in each.faults]
    # All are looked at, for what a called procedure takes off its caller may put back; only these are told of.
    faults = faults or check_library(
        procedures, command_phrases(), only=used, by_ear=False, beside_answers=phrases_beside_answers()
    )
    return ids, used, tuple(faults)

"""Fault models read from their files, and the adviser that thinks with one."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.errors import ProcedureError, UsageError
from assistant.facts import Fact
from assistant.guide import Library
from assistant.ports import Recogniser
from assistant.procedure.nodes import MAX_BYTES
from assistant.reasoning.model import Model
from assistant.reasoning.reader import read_model
from assistant.reasoning.reasoner import make_reasoner
from assistant.record.chain import Entry
from assistant.record.texts import file_of, named_model, named_texts
from assistant.session.adviser import Adviser
from assistant.wiring.folders import shipped_folder
from assistant.wiring.records import confirmed_repairs
from assistant.wiring.shop_odds import repairs_known

SUFFIX = ".faults.yaml"


def model_for(procedure: str, file: str | None) -> Model | None:
    """The fault model that belongs to a procedure: of the same name, beside its file where that is not a shipped one.

    None where there is none. Raises ProcedureError when it is not fit to use.
    """
    path = (Path(file).parent if file else shipped_folder("procedures")) / f"{procedure}{SUFFIX}"
    return load_model(str(path)) if path.is_file() else None


def model_of_job(entries: Sequence[Entry], text: Callable[[str], str | None]) -> Model | None:
    """The fault model that the job was begun with; for jobs that name none, the one at hand. None where there is none,
    or this version cannot read it: then no odds are reckoned.
    """
    first, digest = entries[0].fact(), named_model(entries)
    if digest is None:
        return None if named_texts(entries) else model_for(str(first.procedure), file_of(first))
    kept = text(digest)
    try:
        return None if kept is None else read_model(f"{first.procedure}{SUFFIX}", kept)
    except ProcedureError:
        return None


def can_lead(model: Model | None) -> bool:
    """Whether a plan can lead the jobs of the procedure that this model belongs to."""
    return model is not None and bool(model.blocks)


def make_adviser(
    journal: SqliteJournal,
    library: Library,
    model: Model,
    recogniser: Recogniser | None,
    facts: Sequence[Fact] = (),
    *,
    repairs: Sequence[str] | None = None,
) -> Adviser:
    """The adviser of a job whose earlier facts are these, its odds moved by the shop's confirmed repairs.

    `recogniser`: None where lines are typed. `repairs`: their faults; None for those kept in the journal.
    """
    # Words that an engine of unmeasured accuracy may lack must not stop a job in its middle: none are supposed then.
    suppose = recogniser is None or not recogniser.always_confirm
    reasoner = make_reasoner(model, confirmed_repairs(journal, model.id) if repairs is None else repairs)
    return Adviser(reasoner, library, facts, suppose=suppose)


def told_adviser(
    journal: SqliteJournal,
    library: Library,
    model: Model,
    recogniser: Recogniser | None,
    facts: Sequence[Fact],
    *,
    data: Path | None,
) -> Adviser:
    """The same, its odds moved by what the shop's other bays repaired too; that is told where there is any."""
    known = repairs_known(journal, model, data)
    if known.elsewhere:
        sys.stderr.write(f"hoodside: {known.sentence(model)}\n")
    return make_adviser(journal, library, model, recogniser, facts, repairs=known.both)


def load_model(name: str) -> Model:
    """The model in a file, or the shipped one of that id. Raises UsageError or ProcedureError."""
    path = Path(name)
    if not path.is_file() and path.name == name:
        path = shipped_folder("procedures") / (name if name.endswith(SUFFIX) else f"{name}{SUFFIX}")
    try:
        if path.stat().st_size > MAX_BYTES:
            raise ProcedureError(f"{name} is larger than {MAX_BYTES // 1024} KiB; a fault model is a small text file.")
        return read_model(str(path), path.read_text(encoding="utf-8"))
    except OSError as error:
        raise UsageError(f"The fault model '{name}' cannot be read: {error.strerror or error}.") from error
    except UnicodeDecodeError as error:
        raise ProcedureError(f"{name} is not text in UTF-8; a fault model is a small text file.") from error

"""Fault models read from their files."""

from __future__ import annotations

from pathlib import Path

from assistant.errors import ProcedureError, UsageError
from assistant.procedure.nodes import MAX_BYTES
from assistant.reasoning.model import Model
from assistant.reasoning.reader import read_model
from assistant.wiring.folders import shipped_folder

SUFFIX = ".faults.yaml"


def model_for(procedure: str, file: str | None) -> Model | None:
    """The fault model that belongs to a procedure: of the same name, beside its file where that is not a shipped one.

    None where there is none. Raises ProcedureError when it is not fit to use.
    """
    path = (Path(file).parent if file else shipped_folder("procedures")) / f"{procedure}{SUFFIX}"
    return load_model(str(path)) if path.is_file() else None


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

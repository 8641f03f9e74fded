"""The only place that names concrete adapters: where things lie on this machine, and what a session is made of."""

from __future__ import annotations

import os
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

from platformdirs import user_data_path

from assistant.adapters.journal_sqlite import FILE_NAME as STORE_FILE
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.model_store.manifest import read_manifest
from assistant.adapters.model_store.store import ModelStore
from assistant.errors import RecordError, SetupError, UsageError
from assistant.procedure.model import Procedure
from assistant.procedure.reader import read_procedure

PROCEDURE_SUFFIX = ".yaml"
PACKAGE = Path(__file__).resolve().parent


def shipped_folder(name: str) -> Path:
    """The folder `procedures` or `models` that came with the program: the checkout's first, else the package's."""
    checkout = PACKAGE.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    packaged = PACKAGE / "_shipped" / name
    if packaged.is_dir():
        return packaged
    raise SetupError(f"The folder '{name}' that comes with hoodside is missing; install hoodside again.")


def find_procedure(name: str) -> Path:
    """The file of a procedure given by path or by the id of a shipped one. Raises UsageError when there is none."""
    path = Path(name)
    if path.suffix in (".yaml", ".yml") or os.sep in name:
        if path.is_file():
            return path
        raise UsageError(f"There is no procedure file '{name}'.")
    shipped = shipped_folder("procedures") / f"{name}{PROCEDURE_SUFFIX}"
    if shipped.is_file():
        return shipped
    known = ", ".join(shipped_procedures()) or "none"
    raise UsageError(f"There is no procedure '{name}'; the shipped ones are: {known}.")


def shipped_procedures() -> tuple[str, ...]:
    """Ids of the shipped procedures, in the order of the alphabet; fault models (`*.faults.yaml`) are left out."""
    files = shipped_folder("procedures").glob(f"*{PROCEDURE_SUFFIX}")
    return tuple(sorted(file.stem for file in files if "." not in file.stem))


def data_folder(given: Path | None) -> Path:
    """Where records are kept: the given folder, else the user's data folder; made when missing. Raises RecordError."""
    folder = given or user_data_path("hoodside", appauthor=False)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise RecordError(
            f"The data folder '{folder}' cannot be made: {error.strerror or error}; choose another with --data.",
            spoken="The record cannot be kept.",
        ) from error
    return folder


def models_folder(given: Path | None = None) -> Path:
    """Where fetched models lie: the given folder, else the checkout's `models` if writable, else the user's data."""
    if given is not None:
        return given
    checkout = PACKAGE.parent / "models"
    if (PACKAGE.parent / "pyproject.toml").is_file() and checkout.is_dir() and os.access(checkout, os.W_OK):
        return checkout
    return user_data_path("hoodside", appauthor=False) / "models"


def utc_now() -> str:
    """The time of day, ISO 8601 in UTC to the millisecond, e.g. 2031-05-01T09:00:00.000Z."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def open_journal(data: Path | None = None) -> SqliteJournal:
    """The shop's journal in the data folder; made when missing. Raises RecordError."""
    return SqliteJournal(data_folder(data), utc_now)


def look_into_journal(data: Path | None = None) -> SqliteJournal:
    """The shop's journal, only to look at, also on a disk that may not be written.

    Raises UsageError when no record was ever kept there, RecordError when it cannot be read.
    """
    folder = data or user_data_path("hoodside", appauthor=False)
    if not (folder / STORE_FILE).exists():
        raise UsageError(f"There are no records in '{folder}'; name the folder with --data.")
    return SqliteJournal(folder, utc_now, reading=True)


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


def model_store(given: Path | None = None) -> ModelStore:
    """The speech models in the models folder, by the manifest there, else by the shipped one. Raises SetupError."""
    folder = models_folder(given)
    own = folder / "manifest.json"
    return ModelStore(folder, read_manifest(own if own.is_file() else shipped_folder("models") / "manifest.json"))

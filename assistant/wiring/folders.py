"""Where things lie on this machine: what came with the program, records, models."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

from platformdirs import user_data_path

from assistant.errors import RecordError, SetupError, UsageError

PROCEDURE_SUFFIX = ".yaml"
PACKAGE = Path(__file__).resolve().parent.parent


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
    from difflib import get_close_matches  # only who mistypes waits for it

    near = get_close_matches(name, shipped_procedures(), n=3) or ["no-start"]
    raise UsageError(f"There is no procedure '{name}'. Did you mean {' or '.join(near)}?")


def shipped_procedures() -> tuple[str, ...]:
    """Ids of the shipped procedures, in the order of the alphabet; fault models (`*.faults.yaml`) are left out."""
    files = shipped_folder("procedures").glob(f"*{PROCEDURE_SUFFIX}")
    return tuple(sorted(file.stem for file in files if "." not in file.stem))


def data_folder(given: Path | None) -> Path:
    """Where records are kept: the given folder, else the user's data folder; made when missing. Raises RecordError.

    A folder that is made belongs to the user alone: plates and names lie in it.
    """
    folder = given or user_data_path("hoodside", appauthor=False)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
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

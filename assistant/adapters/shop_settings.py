"""What a shop prints on its records, in a small file beside them: its name, its technician, its paper."""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from assistant.errors import SetupError

FILE_NAME = "shop.json"
SHOP, OWN = "shop", "own"
"""Whose repairs move the odds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopSettings:
    """`name`, `technician`: empty where nothing was said. `paper`: a4 or letter. `odds`: shop, or own: whether the
    odds of a job also begin with what the shop's other bays repaired."""

    name: str = ""
    technician: str = ""
    paper: str = "a4"
    odds: str = SHOP


def read_settings(data: Path) -> ShopSettings:
    """The settings in the data folder; the plain ones where none were made. Raises SetupError for a damaged file."""
    path = data / FILE_NAME
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        known = {one.name for one in fields(ShopSettings)}
        return ShopSettings(**{name: str(words) for name, words in told.items() if name in known})
    except (FileNotFoundError, NotADirectoryError):
        return ShopSettings()
    except (OSError, ValueError, AttributeError, RecursionError) as reason:
        raise SetupError(f"'{path}' cannot be read: {reason}; make it anew with: hoodside shop settings") from reason


def keep_settings(data: Path, settings: ShopSettings) -> None:
    """Keep the settings, whole or not at all, for the user alone. Raises SetupError."""
    path, unfinished = data / FILE_NAME, data / f".{FILE_NAME}.{os.getpid()}"
    try:
        handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(asdict(settings), file, indent=1)
        unfinished.replace(path)
    except OSError as error:
        raise SetupError(f"'{path}' cannot be written: {error.strerror or error}.") from error

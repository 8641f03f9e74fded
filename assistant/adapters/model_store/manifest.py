"""What models are wanted: `manifest.json`, read strictly."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from assistant.errors import SetupError

_NAME = re.compile(r"[a-z0-9][a-z0-9._-]{0,99}")
"""A model's name becomes a folder: no separators, no leading dot."""

_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One model that we can use. `sha256` is that of its archive, or None where only the public list knows one."""

    name: str
    engine: str
    language: str
    sha256: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """Where the public list stands, what we want from it, and what comes with a package instead.

    `packaged`: model -> file -> SHA-256.
    """

    list_url: str
    models: tuple[Wanted, ...]
    packaged: Mapping[str, Mapping[str, str]] = field(default_factory=dict)


def read_manifest(path: Path) -> Manifest:
    """The manifest in that file. Raises SetupError naming what is wrong with it."""
    try:
        plain = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise SetupError(f"The list of wanted models '{path}' cannot be read: {error.strerror or error}.") from error
    except (ValueError, RecursionError) as error:
        raise SetupError(f"{path}: not JSON: {error}.") from error
    try:
        return Manifest(
            list_url=str(plain["list"]),
            models=tuple(_wanted(entry) for entry in plain["models"]),
            packaged={str(name): _sums(name, files) for name, files in plain.get("packaged", {}).items()},
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise SetupError(f"{path}: not a list of models: {error}; see models/README.md.") from error


def _wanted(entry: Mapping[str, Any]) -> Wanted:
    unknown = set(entry) - {"name", "engine", "language", "sha256"}
    if unknown:
        raise ValueError(f"unknown key '{sorted(unknown)[0]}'")
    name, sha256 = str(entry["name"]), entry.get("sha256")
    if not is_plain_name(name):
        raise ValueError(f"'{name}' is not a plain name")
    if sha256 is not None:
        _check_sum(name, sha256)
    return Wanted(name=name, engine=str(entry["engine"]), language=str(entry["language"]), sha256=sha256)


def _sums(name: str, files: Mapping[str, Any]) -> dict[str, str]:
    for file, sha256 in files.items():
        _check_sum(f"{name}/{file}", sha256)
    return dict(files)


def _check_sum(name: str, sha256: object) -> None:
    if not _SHA256.fullmatch(str(sha256)):
        raise ValueError(f"the sha256 of '{name}' is not 64 hexadecimal digits")


def is_plain_name(name: str) -> bool:
    """Whether the name can be a folder's name and nothing more."""
    return bool(_NAME.fullmatch(name))

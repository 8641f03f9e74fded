"""Voices that were learnt, a file for each name in the user's own data folder; never any sound."""

from __future__ import annotations

import json
import os
import re
import zlib
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from assistant.errors import SetupError, UsageError
from assistant.hearing.correction import Correction

VERSION = 1
NAME = re.compile(r"[a-z0-9][a-z0-9 _-]{0,39}", re.IGNORECASE)
PREFERRED = "preferred"
"""In place of a device's name: the one that is used unless told otherwise."""

_LAST = "last.json"

MOST_BYTES = 20_000_000
"""A learnt voice has some 60 kB. Source: judgement."""

DAMAGED = (
    OSError, ValueError, TypeError, KeyError, EOFError, RuntimeError, OverflowError, MemoryError, BadZipFile, zlib.error
)  # fmt: skip
"""What reading a damaged archive of arrays may raise."""


class VoiceProfiles:
    """The profiles of a folder. A name has letters, digits, blanks and dashes, 40 at most."""

    def __init__(self, folder: Path, layers: str) -> None:
        """`layers`: tells the layers that are corrected from all others."""
        self._folder = folder
        self._layers = layers

    def check(self, name: str) -> None:
        """Raises UsageError for what cannot be a name."""
        self._path(name)

    def names(self) -> tuple[str, ...]:
        """All that are kept, in the order of the alphabet."""
        return tuple(sorted(path.stem for path in self._folder.glob("*.npz")))

    def keep(self, name: str, corrections: Sequence[Correction]) -> None:
        """Keep it for its owner alone, all or nothing. Raises SetupError when it cannot be written, UsageError."""
        path = self._path(name)
        values = {f"weight{ear}": one.weight.astype(np.float16) for ear, one in enumerate(corrections)}
        values |= {f"bias{ear}": one.bias.astype(np.float32) for ear, one in enumerate(corrections)}
        values |= {"version": np.array(VERSION), "layers": np.array(self._layers)}
        beside = path.with_suffix(".new")
        try:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
                np.savez(file, allow_pickle=False, **values)
                file.flush()
                os.fsync(file.fileno())
            beside.replace(path)
        except OSError as error:
            with suppress(OSError):
                beside.unlink()
            raise SetupError(f"The learnt voice '{name}' cannot be kept: {error.strerror or error}.") from error

    def read(self, name: str) -> tuple[Correction, ...]:
        """The corrections of that voice. Raises UsageError where there is none, SetupError for one of another version
        or a file that is none."""
        path = self._existing(name)
        again = f"learn it again: hoodside devices --learn '{name}'"
        try:
            if path.stat().st_size > MOST_BYTES:
                raise ValueError("it is too large")
            with np.load(path, allow_pickle=False) as file:
                values = {each: file[each] for each in file.files}
            version, layers = int(values["version"]), str(values["layers"])
            ears = range(sum(each.startswith("weight") for each in values))
            found = tuple(
                Correction(weight=values[f"weight{ear}"].astype(np.float32), bias=values[f"bias{ear}"]) for ear in ears
            )
        except DAMAGED as error:
            raise SetupError(f"The learnt voice '{name}' cannot be read ({error}); {again}") from error
        if version != VERSION or layers != self._layers:
            raise SetupError(f"The learnt voice '{name}' was learnt by another version of hoodside; {again}")
        return found

    def forget(self, name: str) -> None:
        """Remove it. Raises UsageError where there is none, SetupError when it cannot be removed."""
        try:
            self._existing(name).unlink()
        except OSError as error:
            raise SetupError(f"The learnt voice '{name}' cannot be removed: {error.strerror or error}.") from error

    def export(self, name: str, out: Path) -> None:
        """Copy it to a file that only its owner may read. Raises UsageError where there is none, SetupError."""
        data = self._existing(name).read_bytes()
        try:
            with os.fdopen(os.open(out, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
                file.write(data)
        except OSError as error:
            raise SetupError(f"'{out}' cannot be written: {error.strerror or error}.") from error

    def note_used(self, name: str, device: str) -> None:
        """From now on it is the one for this device; not worth failing for."""
        with suppress(OSError):
            (self._folder / _LAST).write_text(json.dumps(self._last() | {device: name}), encoding="utf-8")

    def last_used(self, device: str) -> str | None:
        """The voice last used with this device, where it is still kept."""
        name = self._last().get(device)
        return name if name in self.names() else None

    def _last(self) -> dict[str, str]:
        try:
            found = json.loads((self._folder / _LAST).read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return {}
        return found if isinstance(found, dict) else {}

    def _existing(self, name: str) -> Path:
        path = self._path(name)
        if not path.is_file():
            known = ", ".join(self.names()) or "none"
            raise UsageError(f"There is no learnt voice '{name}'; those kept are: {known}.")
        return path

    def _path(self, name: str) -> Path:
        if not NAME.fullmatch(name):
            raise UsageError("A voice's name has letters, digits, blanks and dashes, 40 at most.")
        return self._folder / f"{name}.npz"

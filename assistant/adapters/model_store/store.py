"""The models that stand in a folder: list, fetch, verify. A model is there whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from assistant.adapters.model_store.download import Offer, download, hash_file, read_list
from assistant.adapters.model_store.manifest import Manifest, Wanted
from assistant.adapters.model_store.unpack import unpack
from assistant.errors import SetupError, UsageError

FILES = "files.sha256"
"""Beside a model's files: one line a file, its SHA-256, two blanks, its path."""

_NEEDED = ("am/final.mdl", "conf/mfcc.conf")
_ASIDE = ".unfinished-"


class State(StrEnum):
    """How a model stands in the folder."""

    MISSING = "missing"
    WHOLE = "whole"
    UNCHECKED = "unchecked"  # put there by hand: its parts are there, their checksums are unknown
    DAMAGED = "damaged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One wanted model, where it should lie, how it stands, and what is wrong with it."""

    wanted: Wanted
    folder: Path
    state: State
    fault: str = ""


class ModelStore:
    """The models of one folder, by one manifest."""

    def __init__(self, folder: Path, manifest: Manifest) -> None:
        self._folder = folder
        self._manifest = manifest

    def standings(self, *, deep: bool = False) -> tuple[Standing, ...]:
        """How each wanted model stands; `deep` reads every file and compares its checksum."""
        return tuple(self._standing(wanted, deep) for wanted in self._manifest.models)

    def packaged_fault(self, name: str, folder: Path) -> str:
        """What is wrong with the files of a model that comes with a package, by the manifest; or nothing."""
        sums = self._manifest.packaged.get(name, {})
        try:
            changed = [file for file, sha256 in sums.items() if hash_file(folder / file) != sha256]
        except OSError as error:
            return f"cannot be read: {error}"
        return f"{changed[0]} is not the file of the manifest" if changed else ""

    def packaged_pinned(self, name: str) -> bool:
        """Whether the manifest knows the files of a model that comes with a package."""
        return name in self._manifest.packaged

    def first(self, engine: str, language: str) -> Path | None:
        """The folder of a usable model for that engine, language as `en`: wanted ones first, then any of that kind."""
        for standing in self.standings():
            fits = standing.wanted.engine == engine and standing.wanted.language.startswith(language)
            if fits and standing.state in (State.WHOLE, State.UNCHECKED):
                return standing.folder
        others = sorted(self._folder.glob(f"{engine}-model*-{language}*")) if self._folder.is_dir() else []
        return next((folder for folder in others if all((folder / part).is_file() for part in _NEEDED)), None)

    def fetch(
        self, name: str | None = None, *, progress: Callable[[int, int | None], None] = lambda _got, _all: None
    ) -> Standing:
        """Get a wanted model (the first one without `name`) unless it stands whole. Raises UsageError, SetupError."""
        wanted = self._wanted(name)
        standing = self._standing(wanted, deep=True)
        if standing.state is State.WHOLE:
            return standing
        offer = read_list(self._manifest.list_url).get(wanted.name)
        if offer is None:
            raise SetupError(f"The list at {self._manifest.list_url} no longer offers '{wanted.name}'.")
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            self._sweep()
            with tempfile.TemporaryDirectory(prefix=_ASIDE, dir=self._folder) as aside:
                self._bring(wanted, offer, Path(aside), progress)
        except OSError as error:
            raise SetupError(
                f"The models folder '{self._folder}' cannot be written: {error.strerror or error}; "
                "choose another with --models."
            ) from error
        return self._standing(wanted, deep=True)

    def _bring(self, wanted: Wanted, offer: Offer, aside: Path, progress: Callable[[int, int | None], None]) -> None:
        with (aside / "archive.zip").open("w+b") as archive:
            download(offer, archive, sha256=wanted.sha256, progress=progress)
            model = unpack(archive, aside / "new", name=wanted.name)
        missing = [part for part in _NEEDED if not (model / part).is_file()]
        if missing:
            raise SetupError(f"The archive of '{wanted.name}' lacks {missing[0]}; nothing was kept.")
        _write_sums(model)
        place = self._folder / wanted.name
        if place.exists():
            place.rename(aside / "old")
        model.rename(place)
        _make_durable(self._folder)

    def _wanted(self, name: str | None) -> Wanted:
        for wanted in self._manifest.models:
            if name in (None, wanted.name):
                return wanted
        known = ", ".join(wanted.name for wanted in self._manifest.models) or "none"
        raise UsageError(f"There is no model '{name}' to fetch; the manifest names: {known}.")

    def _standing(self, wanted: Wanted, deep: bool) -> Standing:
        folder = self._folder / wanted.name
        if not folder.is_dir():
            return Standing(wanted=wanted, folder=folder, state=State.MISSING)
        fault = _fault(folder, deep)
        if fault:
            return Standing(wanted=wanted, folder=folder, state=State.DAMAGED, fault=fault)
        state = State.WHOLE if (folder / FILES).is_file() else State.UNCHECKED
        return Standing(wanted=wanted, folder=folder, state=state)

    def _sweep(self) -> None:
        """What a killed fetch left; another one that runs now loses its own and says so."""
        for left in self._folder.glob(f"{_ASIDE}*"):
            shutil.rmtree(left, ignore_errors=True)


def _fault(folder: Path, deep: bool) -> str:
    """What is wrong with a model's files, or nothing."""
    for part in _NEEDED:
        if not (folder / part).is_file():
            return f"{part} is missing"
    try:
        lines = (folder / FILES).read_text(encoding="utf-8").splitlines()
        for line in lines:
            wanted, _, path = line.partition("  ")
            if not (folder / path).is_file():
                return f"{path} is missing"
            if deep and hash_file(folder / path) != wanted:
                return f"{path} has changed"
    except FileNotFoundError:
        return ""
    except (OSError, ValueError) as error:
        return f"cannot be read: {error}"
    return ""


def _write_sums(model: Path) -> None:
    files = sorted(path for path in model.rglob("*") if path.is_file())
    lines = [f"{hash_file(path)}  {path.relative_to(model).as_posix()}\n" for path in files]
    (model / FILES).write_text("".join(lines), encoding="utf-8")
    for path in (*files, model / FILES):
        _make_durable(path)


def _make_durable(path: Path) -> None:
    """So that a power cut after the move cannot leave a model with empty files.

    Windows flushes no folder, which it does not open either, and a file only where it may be written.
    """
    folder = path.is_dir()
    try:
        handle = os.open(path, os.O_RDONLY if folder else os.O_RDWR)
    except PermissionError:
        if folder:
            return
        raise
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

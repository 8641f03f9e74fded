"""What hears: speech models and the recognisers made of them."""

from __future__ import annotations

from pathlib import Path

from assistant.adapters.model_store.manifest import read_manifest
from assistant.adapters.model_store.store import ModelStore
from assistant.wiring.folders import models_folder, shipped_folder


def model_store(given: Path | None = None) -> ModelStore:
    """The speech models in the models folder, by the manifest there, else by the shipped one. Raises SetupError."""
    folder = models_folder(given)
    own = folder / "manifest.json"
    return ModelStore(folder, read_manifest(own if own.is_file() else shipped_folder("models") / "manifest.json"))

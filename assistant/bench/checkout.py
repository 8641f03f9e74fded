"""The way to what learns the weights: only a checkout of the sources has it, the package carries what came of it."""

from __future__ import annotations

import importlib
from importlib.util import find_spec
from types import ModuleType

from assistant.errors import UsageError

ROOM = "assistant.training"


def has_training() -> bool:
    """Whether this is a checkout."""
    return find_spec(ROOM) is not None


def training(name: str) -> ModuleType:
    """The file of that name in `assistant/training`. Raises UsageError where the package came without it."""
    if not has_training():
        raise UsageError("Weights are learnt in a checkout of the sources, and this package has only what came of it.")
    return importlib.import_module(f"{ROOM}.{name}")

"""How loud each speaker was wished, and whether with tones: a small file beside the records."""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

FILE_NAME = "speech.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechHabit:
    """`volume`: 0 to 1. `tones`: whether tones stand for words. `noise_dbfs`: the noise that the volume was chosen
    in, as the microphone gave it; None where that was not known."""

    volume: float
    tones: bool = True
    noise_dbfs: float | None = None


def read_habit(data: Path, device: str) -> SpeechHabit | None:
    """What was last wished of that speaker; None where nothing was, or the file is damaged: it is not worth failing
    for."""
    try:
        told = _read(data)[device]
        volume, noise = float(told["volume"]), told.get("noise_dbfs")
        if not 0.0 <= volume <= 1.0:
            return None
        return SpeechHabit(
            volume=volume, tones=bool(told.get("tones", True)), noise_dbfs=None if noise is None else float(noise)
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def keep_habit(data: Path, device: str, habit: SpeechHabit) -> None:
    """Keep it for that speaker, for the user alone; where it cannot be written it is forgotten."""
    path, unfinished = data / FILE_NAME, data / f".{FILE_NAME}.{os.getpid()}"
    try:
        before = _read(data)
    except (OSError, ValueError):
        before = {}
    try:
        handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(before | {device: asdict(habit)}, file, indent=1)
        unfinished.replace(path)
    except OSError:
        unfinished.unlink(missing_ok=True)


def _read(data: Path) -> dict[str, Any]:
    found = json.loads((data / FILE_NAME).read_text(encoding="utf-8"))
    return found if isinstance(found, dict) else {}

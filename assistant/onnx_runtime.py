"""The one door to onnxruntime, with its uploader shut before the library is loaded.

From 1.29 on the library looks up a telemetry host a few seconds after its first session and writes an identifier, data
on the machine and the interpreter's path under the user's cache folder. One environment variable, read while the
library loads, prevents both; the library's own call comes too late. Measured on Linux with each version in PROVED,
25 s a session: without the variable two files and 23 look-ups, with it none. Not measured on Windows and macOS.
"""

from __future__ import annotations

import importlib
import os
import sys
from typing import Any

from assistant.errors import SetupError

SWITCH = "ORT_DISABLE_TELEMETRY"

PROVED = ((1, 29), (1, 32))
"""First and last version that sends nothing with the switch; `pyproject.toml` asks for the same."""

_LIBRARY = "onnxruntime"
_shut: set[str] = set()
"""Holds the library's name once the switch was set before the library was loaded by anybody."""


def forbid_sending() -> None:
    """Set the switch, for this process and those that it starts. Costs nothing; may be called as often as one likes."""
    os.environ[SWITCH] = "1"
    if _LIBRARY not in sys.modules:
        _shut.add(_LIBRARY)


def load_onnxruntime() -> Any:
    """The module, unable to send. Raises SetupError where that cannot be known, or where the library is missing."""
    forbid_sending()
    if _LIBRARY not in _shut:
        raise SetupError(
            f"{_LIBRARY} was loaded before its uploader could be switched off, so hoodside does not hear with it; "
            "run `hoodside` as a program of its own."
        )
    found = _installed()
    low, high = PROVED
    if not low <= tuple(int(part) for part in found.split(".")[:2]) <= high:
        raise SetupError(
            f"{_LIBRARY} {found} is not a version of which we know that it sends nothing; "
            f"install one with: python -m pip install '{_LIBRARY}>={_dotted(low)},<{_dotted((high[0], high[1] + 1))}'"
        )
    try:
        return importlib.import_module(_LIBRARY)
    except ImportError as error:
        raise SetupError(f"The speech network's runtime cannot be loaded: {error}; install {_LIBRARY} anew.") from error


def _installed() -> str:
    """The version by what was installed: to ask the library itself it would have to be loaded."""
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 - a fifth of the time to list jobs

    try:
        return version(_LIBRARY)
    except PackageNotFoundError as error:
        raise SetupError(
            f"The speech network's runtime is missing; install it with: python -m pip install {_LIBRARY}"
        ) from error


def _dotted(pair: tuple[int, int]) -> str:
    return ".".join(map(str, pair))

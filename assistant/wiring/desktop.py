"""The entry among a desktop's programs.

Source: Desktop Entry Specification of freedesktop.org, 1.5: keys, quoting of Exec, the folder for a user's own entries
(from memory).
"""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path

from assistant.errors import SetupError

FILE_NAME = "hoodside.desktop"


def desktop_entry(python: str) -> str:
    """The entry's text. `python`: the interpreter that this installation runs in."""
    return (
        "[Desktop Entry]\n"
        "Type=Application\n"
        "Version=1.5\n"
        "Name=hoodside\n"
        "GenericName=Engine diagnosis by voice\n"
        "Comment=Go on with an open job, or begin one, hands-free\n"
        f"Exec={_exec(python)} -m assistant\n"
        "Terminal=true\n"
        "Categories=Utility;\n"
        "Keywords=diagnosis;engine;voice;\n"
    )


def write_entry(python: str) -> Path:
    """Write it into the user's own folder; returns where. Raises SetupError where that is impossible."""
    path = _folder() / FILE_NAME
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(desktop_entry(python), encoding="utf-8")
    except OSError as error:
        raise SetupError(f"'{path}' cannot be written: {error.strerror or error}.") from error
    return path


def remove_entry() -> Path | None:
    """Take it away; returns where it was, None where there was none. Raises SetupError."""
    path = _folder() / FILE_NAME
    try:
        path.unlink()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise SetupError(f"'{path}' cannot be removed: {error.strerror or error}.") from error
    return path


def _folder() -> Path:
    if not sys.platform.startswith("linux"):
        raise SetupError("Only Linux desktops read such an entry; make a shortcut to: hoodside")
    home = Path(os.environ.get("XDG_DATA_HOME", ""))
    return (home if home.is_absolute() else Path.home() / ".local" / "share") / "applications"


def _exec(path: str) -> str:
    """As the specification quotes an argument: in double quotes, what is special in them behind a backslash, which is
    doubled, since the value of a key is unescaped first; a percent sign doubled."""
    special = re.sub(r'(["`$\\])', r"\\\1", path).replace("\\", "\\\\").replace("%", "%%")
    return f'"{special}"'

"""Files that commands write, and the zone that their times are told in."""

from __future__ import annotations

import os
import tempfile
from datetime import datetime
from pathlib import Path

from assistant.errors import UsageError


def local_time(when: datetime) -> datetime:
    """The time of day where this machine stands."""
    return when.astimezone()


def write_whole(path: Path, content: bytes) -> None:
    """The file with this content, or no change to it at all. Raises UsageError when it cannot be written."""
    try:
        handle, unfinished = tempfile.mkstemp(prefix=f".{path.name[:60]}.", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            Path(unfinished).replace(path)  # for the user alone, as it was made: it may hold a plate
        except BaseException:
            Path(unfinished).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise UsageError(f"'{path}' cannot be written: {error.strerror or error}; name another with --out.") from error

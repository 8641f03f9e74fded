"""The trace of a session: a file that the user alone may read."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.errors import UsageError
from assistant.session.trace import Trace


@contextmanager
def open_trace(path: Path | None) -> Iterator[Trace]:
    """The trace file, added to when it is there already. Raises UsageError when it cannot be written."""
    if path is None:
        yield Trace()
        return
    try:
        # Half characters are written as JSON escapes them; what was said is the user's alone to read.
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        file = os.fdopen(handle, "a", encoding="utf-8", errors="backslashreplace")
        if path.is_file():
            path.chmod(0o600)
    except OSError as error:
        raise UsageError(f"The trace '{path}' cannot be written: {error.strerror or error}.") from error
    with file:
        yield Trace(file)

"""Where each store's log ended when it was last written here, kept apart from the stores, beside the key.

An older copy of a store that is put back is sound in itself; that it once went further is known only from outside it.
One small file for each data folder, a line for each time; a line is never taken away but by the next that follows it.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from assistant.record.log import LogHead

MOST_LINES = 20
"""More heads than these are of no use: each one binds all before it. Judgement."""


class RememberedHeads:
    """Heads of the log of the store in `data`, kept under `folder`."""

    def __init__(self, folder: Path, data: Path) -> None:
        name = hashlib.sha256(str(data.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:24]
        self._path = folder / "seen" / f"{name}.jsonl"

    def heads(self) -> Sequence[LogHead]:
        """What was seen, the latest last; empty where nothing was, or it cannot be read."""
        try:
            return tuple(_head(json.loads(line)) for line in self._path.read_text(encoding="utf-8").splitlines())
        except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError):
            return ()

    def add(self, head: LogHead, *, follows: bool) -> bool:
        """Remember this one; says whether it could be. `follows`: it continues the last one and takes its place.

        A head that contradicts an earlier one stands beside it, so that the contradiction stays known.
        """
        kept = list(self.heads())
        kept = [*kept[:-1], head] if follows and kept else [*kept, head]
        text = "".join(json.dumps(_plain(one)) + "\n" for one in kept[-MOST_LINES:])
        unfinished = self._path.with_suffix(f".{os.getpid()}")
        try:
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            unfinished.replace(self._path)
        except OSError:
            return False
        return True

    def forget(self) -> None:
        """Let go of what was seen, after a backup was put back on purpose."""
        self._path.unlink(missing_ok=True)


def _plain(head: LogHead) -> dict[str, Any]:
    return {"store": head.store, "size": head.size, "root": head.root.hex(), "utc": head.utc}


def _head(told: dict[str, Any]) -> LogHead:
    return LogHead(
        store=str(told["store"]), size=int(told["size"]), root=bytes.fromhex(told["root"]), utc=str(told["utc"])
    )

"""What the other bays of the shop repaired, counted, in a small file beside this bay's records: for use off-line."""

from __future__ import annotations

import json
import os
from contextlib import suppress
from pathlib import Path

from assistant.record.outbox import ShopRepairs

FILE_NAME = "shop-repairs.json"


def read_repairs(data: Path) -> ShopRepairs:
    """What was fetched last; nothing where the file is lost or damaged, for it is fetched again."""
    try:
        told = json.loads((data / FILE_NAME).read_text(encoding="utf-8"))
        counts = {
            str(procedure): {str(fault): int(count) for fault, count in faults.items() if int(count) > 0}
            for procedure, faults in told["counts"].items()
        }
        return ShopRepairs(fetched_utc=str(told["fetched_utc"]), counts=counts)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return ShopRepairs()


def keep_repairs(data: Path, repairs: ShopRepairs) -> None:
    """Keep it, whole or not at all; what cannot be kept is fetched again."""
    unfinished = data / f".{FILE_NAME}.{os.getpid()}"
    with suppress(OSError):
        handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump({"fetched_utc": repairs.fetched_utc, "counts": repairs.counts}, file, indent=1)
        unfinished.replace(data / FILE_NAME)

"""A clock that nobody can set: seconds since the machine was started, which no change of the time of day moves."""

from __future__ import annotations

import time
from functools import cache
from pathlib import Path

from assistant.record.log import Moment

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


def boot_moment() -> Moment | None:
    """Now, by CLOCK_BOOTTIME, which also counts while the machine sleeps; None where there is no such clock.

    The run of the machine is named by the kernel's random boot id, so that two runs are never compared.
    """
    try:
        boot, now_s = _boot(), time.clock_gettime(time.CLOCK_BOOTTIME)
    except (OSError, AttributeError, ValueError):
        return None
    return Moment(boot=boot, ms=int(now_s * 1000)) if boot else None


def asleep_s() -> float:
    """Seconds that the machine has slept since it was started. 0 where that cannot be told."""
    try:
        awake_s = time.clock_gettime(time.CLOCK_MONOTONIC)  # first, or the time between would make it less than nothing
        return time.clock_gettime(time.CLOCK_BOOTTIME) - awake_s
    except (OSError, AttributeError):
        return 0.0


@cache
def _boot() -> str:
    return BOOT_ID.read_text(encoding="ascii").strip().replace("-", "")[:16]

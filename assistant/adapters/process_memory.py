"""How much memory this process has held at most, as far as the system tells."""

from __future__ import annotations

import sys
from pathlib import Path

_STATUS = Path("/proc/self/status")


def peak_memory_kb() -> int | None:
    """Since the program began: from Linux itself; elsewhere what getrusage tells, which counts the process that started
    it too; None on Windows, where neither is to be had."""
    if _STATUS.exists():
        told = dict(line.split(":", 1) for line in _STATUS.read_text(encoding="ascii").splitlines())
        return int(told["VmHWM"].split()[0])
    try:
        import resource  # noqa: PLC0415 - not there on Windows
    except ImportError:
        return None
    most = int(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
    return most // 1024 if sys.platform == "darwin" else most  # macOS counts bytes

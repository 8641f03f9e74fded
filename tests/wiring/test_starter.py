"""The ear for the starter is made before the arithmetic is loaded that only a burst needs."""

from __future__ import annotations

import subprocess
import sys

LOADED = "import sys, assistant.wiring.starter; print([name for name in NAMES if name in sys.modules])"
NAMES = ("scipy.signal", "scipy.interpolate", "scipy.stats")


def test_listening_does_not_wait_for_what_only_a_burst_needs() -> None:
    """These take two thirds of a second to load; a fresh program has none of them when it begins to listen."""
    told = subprocess.run(
        [sys.executable, "-c", LOADED.replace("NAMES", repr(NAMES))], capture_output=True, text=True, check=True
    )
    assert told.stdout.strip() == "[]"

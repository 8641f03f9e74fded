"""The detector of speech keeps to one thread."""

from __future__ import annotations

import os
import subprocess
import sys

COUNTS = """
import os
from assistant.speech_detector import LIMIT, speech_detector
detector = speech_detector()
detector(bytes(1024))
print(len(os.listdir("/proc/self/task")), LIMIT in os.environ)
"""


def test_a_frame_is_worked_out_on_one_thread() -> None:
    """Four threads that spin for each other take ten times the computing; and what loads later is not limited."""
    clean = {name: value for name, value in os.environ.items() if name != "OMP_THREAD_LIMIT"}
    told = subprocess.run([sys.executable, "-c", COUNTS], check=True, capture_output=True, text=True, env=clean)
    assert told.stdout.split() == ["1", "False"]

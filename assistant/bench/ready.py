"""How long from the command to listening: a fresh program each time, a job begun, the recogniser loaded.

The clock starts before the program does and stops when its first turn stands in the trace, which is written once the
ears are there; the first block is heard right after. Sound comes from a silent file, so no device is waited for. On a
busy machine seconds of computing tell more than the clock.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
import wave
from pathlib import Path

import click

from assistant.ports import SAMPLE_RATE_HZ

LONGEST_S = 120.0
POLL_S = 0.005


def ready_s(folder: Path) -> tuple[float, float]:
    """Seconds from the start of the program until it listens, and of computing till then and its end.

    Raises RuntimeError where it never listens.
    """
    silence, trace = folder / "silence.wav", folder / "trace.jsonl"
    with wave.open(str(silence), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE_HZ)
        file.writeframes(bytes(2 * SAMPLE_RATE_HZ))
    command = [sys.executable, "-m", "assistant", "start", "no-start", "--hear", f"wav:{silence}", "--say", "silent"]
    command += ["--data", str(folder / "data"), "--trace", str(trace)]
    began_s, before = time.monotonic(), os.times()
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as program:
        while time.monotonic() - began_s < LONGEST_S:
            if trace.is_file() and trace.stat().st_size:
                took_s = time.monotonic() - began_s
                program.terminate()
                program.wait()
                after = os.times()
                cpu_s = after.children_user + after.children_system - before.children_user - before.children_system
                return took_s, cpu_s
            if program.poll() is not None:
                break
            time.sleep(POLL_S)
        program.kill()
    raise RuntimeError("the program ended, or waited, without a first turn")


@click.command(epilog="Example: hoodside bench ready --count 5")
@click.option("--count", default=5, show_default=True, help="So many fresh programs.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value in place of words.")
def command(*, count: int, as_json: bool) -> None:
    """Measure how long it takes from the command until the program listens."""
    with tempfile.TemporaryDirectory() as folder:
        places = [Path(folder) / str(number) for number in range(count)]
        for place in places:
            place.mkdir()
        took, cpu = zip(*map(ready_s, places), strict=True)
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    found = {"count": count, "median_s": round(statistics.median(took), 2), "most_s": round(max(took), 2)}
    found |= {
        "least_s": round(min(took), 2),
        "computing_s": round(statistics.median(cpu), 2),
        "load": round(load, 1),
        "cores": os.cpu_count() or 0,
    }
    told = ", ".join(f"{name} {value}" for name, value in found.items())
    click.echo(json.dumps(found) if as_json else told)

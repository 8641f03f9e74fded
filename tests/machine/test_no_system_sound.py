"""A machine without eSpeak NG and PortAudio: everything but live sound works, and that says what to do.

The demo is a job of two things said in the ordinary run, and the one of the command under the marker `campaign`.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.microphone_wav import read_sound
from tests.machine.conftest import need
from tests.rehearsal import short_job

HIDDEN = ("libespeak-ng.so*", "libespeak.so*", "libportaudio.so*")
FOLDERS = ("/lib", "/usr/lib", "/usr/local/lib")

_HIDE = """
set -e
while [ "$1" != -- ]; do mount --bind /dev/null "$1"; shift; done
shift
exec "$@"
"""


def _system_libraries() -> list[str]:
    """Every file of those libraries that the system's loader could find, links resolved."""
    found = {
        str(file.resolve())
        for folder in map(Path, FOLDERS)
        for pattern in HIDDEN
        for file in [*folder.glob(pattern), *folder.glob(f"*-linux-gnu/{pattern}")]
    }
    return sorted(found)


@pytest.fixture(scope="module")
def hidden() -> list[str]:
    """The beginning of a command line that runs a program with those libraries hidden, in mounts of its own."""
    need(shutil.which("unshare") is not None, "unshare is not installed (util-linux)")
    alone = ["unshare", "--mount"] if os.geteuid() == 0 else ["unshare", "--user", "--map-root-user", "--mount"]
    start = [*alone, "sh", "-c", _HIDE, "hide", *_system_libraries(), "--"]
    tried = subprocess.run([*start, "true"], capture_output=True, text=True, check=False, timeout=30)
    need(tried.returncode == 0, f"this machine lets nobody mount in a namespace: {tried.stderr.strip()}")
    return start


AS_INSTALLED = (
    "import sys; sys.modules['espeakng_loader'] = None; from assistant.__main__ import run; sys.exit(run(sys.argv[1:]))"
)
"""hoodside as a default installation has it: without the eSpeak NG of the extra."""


SHORT_REHEARSAL = """
import sys
sys.modules['espeakng_loader'] = None
from pathlib import Path
from assistant.cli.rehearse import play_cars
from tests.rehearsal.short_job import CAR, written
folder = Path(sys.argv[1])
sys.exit(play_cars(written(folder), [CAR], folder))
"""


def _run(hidden: list[str], *command: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run([*hidden, *command], input=stdin, capture_output=True, text=True, check=False, timeout=300)


def _hoodside(hidden: list[str], *arguments: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    return _run(hidden, sys.executable, "-c", AS_INSTALLED, *arguments, stdin=stdin)


def test_the_libraries_are_hidden(hidden: list[str]) -> None:
    """Neither can be loaded by name in there, so that the tests below prove something."""
    for name in ("libportaudio.so.2", "libespeak-ng.so.1"):
        done = _run(hidden, sys.executable, "-c", f"import ctypes; ctypes.CDLL('{name}')")
        assert "OSError" in done.stderr


def test_speech_is_made_without_them(hidden: list[str], tmp_path: Path) -> None:
    """A typed session speaks into a file: seconds of speech, well above silence."""
    said, data = tmp_path / "said.wav", tmp_path / "data"
    options = ["--hear", "typed", "--say", f"wav:{said}", "--data", str(data)]
    done = _hoodside(hidden, "start", "no-start", *options, stdin="where am i\n")
    assert done.returncode == 0, done.stderr
    pcm = read_sound(said)
    assert pcm.size > 5 * 16_000
    assert np.sqrt(np.mean(pcm.astype(float) ** 2)) > 1_000


def test_the_plain_voice_says_what_it_lacks(hidden: list[str], tmp_path: Path) -> None:
    """One sentence that names both ways to get eSpeak NG, and exit code 3."""
    options = ["--hear", "typed", "--say", f"wav:{tmp_path / 'said.wav'}", "--data", str(tmp_path / "data")]
    done = _hoodside(hidden, "start", "no-start", *options, "--voice", "plain", stdin="where am i\n")
    assert done.returncode == 3
    (told,) = [line for line in done.stderr.splitlines() if "cannot speak" in line]
    assert "install espeakng-loader" in told and "apt install libespeak-ng1" in told and "--say silent" in told
    assert "Traceback" not in done.stderr


def test_a_rehearsal_needs_neither(hidden: list[str], tmp_path: Path) -> None:
    """What a made-up technician says is heard and recorded, and its sound is there, both voices in it."""
    done = _run(hidden, sys.executable, "-c", SHORT_REHEARSAL, str(tmp_path))
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"{len(short_job.CAR.answers) + 1} things said" in done.stdout
    folder = tmp_path / short_job.CAR.name
    assert read_sound(folder / "session.wav").size > 10 * 16_000
    assert (folder / "report.html").stat().st_size > 1_000


@pytest.mark.campaign
def test_the_rehearsal_needs_neither(hidden: list[str], tmp_path: Path) -> None:
    """The whole demo runs, and the sound of the session is there to listen to, both voices in it."""
    done = _hoodside(hidden, "rehearse", "--fast", "--out", str(tmp_path))
    assert done.returncode == 0, done.stdout + done.stderr
    (sound,) = tmp_path.rglob("session.wav")
    (report,) = tmp_path.rglob("report.html")
    assert read_sound(sound).size > 60 * 16_000 and report.stat().st_size > 1_000


@pytest.mark.parametrize("command", [["devices"], ["start", "no-start"]])
def test_live_sound_asks_for_portaudio_in_words(hidden: list[str], tmp_path: Path, command: list[str]) -> None:
    """One sentence that names the package, exit code 3, no traceback."""
    where = ["--data", str(tmp_path)] if command[0] == "start" else []
    done = _run(hidden, sys.executable, "-m", "assistant", *command, *where)
    assert done.returncode == 3
    assert "libportaudio2" in done.stderr and len(done.stderr.strip().splitlines()) == 1

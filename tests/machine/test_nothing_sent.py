"""No command but `models fetch` asks the network for anything, and none writes outside our own folder."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from tests.machine.conftest import need

ROOT = Path(__file__).parents[2]
NETWORK = re.compile(r"socket\((AF_INET6?|AF_NETLINK|AF_PACKET)|/nscd/socket|resolve/io\.systemd")
"""What asking the network begins with: a socket for it, or a question to the system's own resolver."""

COMMANDS = {
    "check": ["check", "procedures/spark-check.yaml"],
    "draw": ["draw", "procedures/spark-check.yaml", "--out", "{home}/flow.svg"],
    "simulate": ["simulate", "procedures/spark-check.yaml"],
    "reason": ["reason", "no-start"],
    "crank": ["crank", "--cylinders", "4", "{sound}"],
    "hear": ["hear", "--engine", "embedded", "--commands", "spark-check", "{sound}"],
    "start": ["start", "no-start", "--hear", "typed", "--say", "wav:{home}/said.wav", "--job", "blue-hatch"],
    "resume": ["resume", "blue-hatch", "--hear", "typed", "--say", "silent"],
    "jobs": ["jobs", "verify"],
    "report": ["report", "blue-hatch", "--format", "pdf", "--out", "{home}/report.pdf"],
    "models": ["models", "verify", "--models", "{home}"],
    "rehearse": ["rehearse", "spark-check", "--fast", "--out", "{home}/rehearsal"],
}
"""One of each kind, in an order in which each finds what it needs. The rehearsal goes on long after its first session
with the network: the library's uploader waits some eight seconds before it looks for its host."""

ASKED_FOR = {"flow.svg", "said.wav", "report.pdf", "rehearsal"}


def at_home(home: Path) -> dict[str, str]:
    """An environment in which everything that belongs to a user lies in that folder."""
    folders = {
        name: str(home / folder)
        for name, folder in (
            ("XDG_CACHE_HOME", ".cache"),
            ("XDG_CONFIG_HOME", ".config"),
            ("XDG_DATA_HOME", ".local/share"),
            ("XDG_STATE_HOME", ".local/state"),
        )
    }
    return {
        "PATH": os.environ["PATH"],
        "HOME": str(home),
        "PYTHONPATH": str(ROOT),
        "PYTHONDONTWRITEBYTECODE": "1",
    } | folders


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty home, the same for all commands, so that later ones find the job of an earlier one."""
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Somebody says "no spark"."""
    file = tmp_path_factory.mktemp("sound") / "no-spark.wav"
    pcm = Pyttsx3Synthesiser().render("no spark", words_per_minute=150, rate_hz=16_000)
    soundfile.write(file, pcm, 16_000)
    return file


@pytest.fixture(scope="module")
def watched(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The beginning of a command line that writes down every call for the network; `strace` must be allowed here."""
    need(shutil.which("strace") is not None, "strace is not installed")
    start = ["strace", "-f", "-qq", "-e", "trace=network", "-o"]
    tried = subprocess.run([*start, os.devnull, "true"], capture_output=True, text=True, check=False)
    need(tried.returncode == 0, f"strace may not watch programs here: {tried.stderr.strip()}")
    return start


def run(*command: str, home: Path, stdin: str = "") -> subprocess.CompletedProcess[str]:
    """A program with that home, in the checkout."""
    return subprocess.run(
        command, cwd=ROOT, env=at_home(home), input=stdin, capture_output=True, text=True, check=False, timeout=600
    )


@pytest.mark.parametrize("name", COMMANDS)
def test_no_command_asks_the_network(name: str, home: Path, sound: Path, watched: list[str], tmp_path: Path) -> None:
    """Not one socket of the internet, no question for a name, and nothing in the home but our folder and what was
    asked for."""
    arguments = [part.format(home=home, sound=sound) for part in COMMANDS[name]]
    calls = tmp_path / "calls"
    done = run(*watched, str(calls), sys.executable, "-m", "assistant", *arguments, home=home, stdin="done\n")
    assert done.returncode in ((0, 1) if name == "rehearse" else (0,)), done.stdout + done.stderr
    assert [line for line in calls.read_text().splitlines() if NETWORK.search(line)] == []
    assert strangers(home) == []


def test_fetching_a_model_is_seen(home: Path, watched: list[str], tmp_path: Path) -> None:
    """The one command that asks the network is caught by the same watch, so that the tests above can fail."""
    manifest = '{"list": "http://127.0.0.1:9/list.json", "models": [{"name": "m", "engine": "vosk", "language": "en"}]}'
    (tmp_path / "manifest.json").write_text(manifest)
    calls = tmp_path / "calls"
    fetch = ["models", "fetch", "--models", str(tmp_path)]
    done = run(*watched, str(calls), sys.executable, "-m", "assistant", *fetch, home=home)
    assert done.returncode == 3
    assert NETWORK.search(calls.read_text())


def test_recognition_leaves_an_empty_home_empty(sound: Path, tmp_path: Path) -> None:
    """Nothing is written while it hears: the library would leave an identifier in the cache at its first session."""
    hear = ["hear", "--engine", "embedded", "--commands", "spark-check", str(sound)]
    done = run(sys.executable, "-m", "assistant", *hear, home=tmp_path)
    assert done.returncode == 0 and '"no spark"' in done.stdout, done.stdout + done.stderr
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def strangers(home: Path) -> list[str]:
    """Files in the home that are neither ours nor asked for."""
    files = [path.relative_to(home) for path in home.rglob("*") if path.is_file()]
    ours = (Path(".local/share/hoodside"), Path(".config/hoodside"))  # records, and apart from them the key
    other = (path for path in files if not any(path.is_relative_to(folder) for folder in ours))
    return sorted(str(path) for path in other if path.parts[0] not in ASKED_FOR)

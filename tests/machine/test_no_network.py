"""A machine without any network, not even its own loopback: everything but `models fetch` works as ever."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from tests.machine.conftest import need
from tests.machine.test_nothing_sent import ROOT, at_home
from tests.machine.test_nothing_sent import sound as sound

OFFLINE = {
    "check": ["check", "procedures/spark-check.yaml"],
    "hear": ["hear", "--engine", "embedded", "--commands", "spark-check", "{sound}"],
    "crank": ["crank", "--cylinders", "4", "{sound}"],
    "start": ["start", "no-start", "--hear", "typed", "--say", "wav:{home}/said.wav", "--job", "blue-hatch"],
    "report": ["report", "blue-hatch", "--format", "html", "--out", "{home}/report.html"],
}
"""One of each kind, in an order in which each finds what it needs."""


@pytest.fixture(scope="module")
def alone() -> list[str]:
    """The beginning of a command line that runs a program in a namespace whose network has nothing in it."""
    need(shutil.which("unshare") is not None, "unshare is not installed (util-linux)")
    start = ["unshare", "--net"] if os.geteuid() == 0 else ["unshare", "--user", "--map-root-user", "--net"]
    tried = subprocess.run([*start, "true"], capture_output=True, text=True, check=False, timeout=30)
    need(tried.returncode == 0, f"this machine lets nobody make a network namespace: {tried.stderr.strip()}")
    return start


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty home, the same for all commands."""
    return tmp_path_factory.mktemp("home")


def run(alone: list[str], home: Path, *command: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    """A program in that namespace, with that home."""
    return subprocess.run(
        [*alone, *command],
        cwd=ROOT, env=at_home(home), input=stdin, capture_output=True, text=True, check=False, timeout=600,
    )  # fmt: skip


def test_the_namespace_has_no_network(alone: list[str], home: Path) -> None:
    """Not even a server of this machine is reached from there, so that the tests below mean something."""
    with socket.create_server(("127.0.0.1", 0)) as here:
        dial = f"import socket; socket.create_connection(('127.0.0.1', {here.getsockname()[1]}), 2)"
        done = run(alone, home, sys.executable, "-c", dial)
    assert done.returncode != 0 and "unreachable" in done.stderr


@pytest.mark.parametrize("name", OFFLINE)
def test_it_works_without_a_network(name: str, alone: list[str], home: Path, sound: Path) -> None:
    """Hearing, speaking, leading and reporting ask nobody."""
    arguments = [part.format(home=home, sound=sound) for part in OFFLINE[name]]
    done = run(alone, home, sys.executable, "-m", "assistant", *arguments, stdin="done\n")
    assert done.returncode == 0, done.stdout + done.stderr
    if name == "hear":
        assert '"no spark"' in done.stdout


def test_what_needs_the_network_says_so(alone: list[str], home: Path, tmp_path: Path) -> None:
    """The one command that asks for it ends with one sentence."""
    manifest = '{"list": "https://127.0.0.1:9/l", "models": [{"name": "m", "engine": "vosk", "language": "en"}]}'
    (tmp_path / "manifest.json").write_text(manifest)
    done = run(alone, home, sys.executable, "-m", "assistant", "models", "fetch", "--models", str(tmp_path))
    assert done.returncode == 3
    assert "127.0.0.1" in done.stderr and "Traceback" not in done.stderr

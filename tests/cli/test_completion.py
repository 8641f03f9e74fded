"""The shell completes commands, sub-commands and options, as DEVELOPERS.md says."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

PROGRAM = "import sys; from assistant.__main__ import main; sys.argv[0] = 'hoodside'; main()"


def completed(words: str, at: int) -> str:
    """What the shell is offered at that word."""
    told = {"_HOODSIDE_COMPLETE": "bash_complete", "COMP_WORDS": words, "COMP_CWORD": str(at)}
    command = [sys.executable, "-c", PROGRAM]
    done = subprocess.run(command, env=os.environ | told, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize(
    ("words", "at", "offered"),
    [("hoodside re", 1, "rehearse"), ("hoodside jobs ver", 2, "verify"), ("hoodside start --tra", 2, "--trace")],
)
def test_words_are_completed(words: str, at: int, offered: str) -> None:
    """A command, a command of a group, an option."""
    assert f"plain,{offered}" in completed(words, at).splitlines()


def test_the_script_for_the_shell_is_given() -> None:
    """What the line in DEVELOPERS.md evaluates."""
    told = os.environ | {"_HOODSIDE_COMPLETE": "bash_source"}
    done = subprocess.run([sys.executable, "-c", PROGRAM], env=told, capture_output=True, text=True, check=False)
    assert "_HOODSIDE_COMPLETE=bash_complete" in done.stdout

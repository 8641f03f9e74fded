"""Ctrl-C ends a command with 130 wherever it strikes, also while a data class is being made."""

import os
import subprocess
import sys
from pathlib import Path

TREE = Path(__file__).parents[2]
CUT_SHORT = """
from assistant import __main__ as program

def cut_short(**_):
    exec("raise KeyboardInterrupt")

program.hoodside.main = cut_short
program.main(())
"""


def test_an_interruption_inside_generated_code_is_an_interruption(tmp_path):
    """Python runs generated text in a frame whose interruption it remembers to its end and then dies by SIGINT."""
    (tmp_path / "cut_short.py").write_text(CUT_SHORT)
    path = os.pathsep.join((str(tmp_path), str(TREE)))
    ended = subprocess.run(
        [sys.executable, "-m", "cut_short"],
        env={**os.environ, "PYTHONPATH": path},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 130
    assert ended.stderr == "hoodside: interrupted; nothing recorded is lost.\n"

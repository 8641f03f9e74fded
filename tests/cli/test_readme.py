"""Each command that README.md, the handbook or DEVELOPERS.md names is one that there is, with options that it takes."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest

from assistant.__main__ import hoodside

ROOT = Path(__file__).parents[2]
INLINE = re.compile(r"`(hoodside [^`]+)`")
FENCED = re.compile(r"^(?:\.venv/bin/)?(hoodside [^#\n]+)", re.M)


def commands() -> list[str]:
    """As they stand there, each once."""
    found: dict[str, None] = {}
    for name in ("README.md", ".docs/handbook.md", ".docs/procedures.md", ".docs/choices.md", "DEVELOPERS.md"):
        text = " ".join((ROOT / name).read_text(encoding="utf-8").split(" "))
        one_line = re.sub(r"(?<!\n)\n(?!\n)", " ", re.sub(r"```.*?```", "", text, flags=re.S))
        blocks = "\n".join(re.findall(r"```sh\n(.*?)```", text, flags=re.S))
        found |= dict.fromkeys([*INLINE.findall(one_line), *(each.strip() for each in FENCED.findall(blocks))])
    return list(found)


def check(words: list[str]) -> None:
    """Walk down to the command and let it read its options, without running it. Raises click.UsageError."""
    command: click.Command = hoodside
    context = click.Context(hoodside, info_name="hoodside")
    while isinstance(command, click.Group) and words and not words[0].startswith("-"):
        name, *words = words
        found = command.get_command(context, name)
        if found is None:
            raise click.UsageError(f"no such command '{name}'")
        context = click.Context(found, info_name=name, parent=context)
        command = found
    if isinstance(command, click.Group):
        return
    parser = command.make_parser(context)
    for word in words:
        option = word.partition("=")[0]
        if option.startswith("--") and option != "--help" and option not in parser._long_opt:
            raise click.NoSuchOption(option)


def test_there_are_many() -> None:
    """Else the tests below would show little."""
    assert len(commands()) > 20


@pytest.mark.parametrize("line", commands())
def test_it_is_a_command_with_these_options(line: str) -> None:
    """Renamed or gone, it would not be told of otherwise before a reader tries it."""
    check(shlex.split(line.replace("…", "").replace("\\", ""))[1:])


@pytest.mark.parametrize("line", ["hoodside nothing", "hoodside start no-start --nothing x", "hoodside jobs nothing"])
def test_the_check_finds_what_is_not_there(line: str) -> None:
    """It can fail."""
    with pytest.raises(click.UsageError):
        check(shlex.split(line)[1:])

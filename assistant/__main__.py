"""Read the command line, run one command, turn one error into one sentence and an exit code."""

from __future__ import annotations

import ast
import importlib
import importlib.util
import io
import os
import pkgutil
import sys
from collections.abc import Sequence
from pathlib import Path

import click

from assistant import cli
from assistant.cli._groups import HelpfulGroup
from assistant.cli._signals import Ended, ended_by_signals
from assistant.errors import HoodsideError
from assistant.onnx_runtime import forbid_sending

WRONG_USE = 2
READER_GONE = 141
INTERRUPTED = 130
"""Exit codes after a broken pipe and after Ctrl-C: 128 and the signal's number, as shells count."""


class CommandFiles(HelpfulGroup):
    """Lists every file of `assistant/cli` as a command and imports a file only when its command is wanted."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands, in the order of the alphabet."""
        return sorted(file.name.replace("_", "-") for file in pkgutil.iter_modules(cli.__path__) if file.name[0] != "_")

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        if cmd_name not in self.list_commands(ctx):
            return None
        file = importlib.import_module(f"assistant.cli.{cmd_name.replace('-', '_')}")
        command = file.command
        if not isinstance(command, click.Command):
            raise TypeError(f"assistant/cli/{file.__name__}.py: `command` is not a click command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands by the first sentence of their docstrings, read without importing what they need."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, _says(name)) for name in self.list_commands(ctx)])


def _says(name: str) -> str:
    """The first sentence of the docstring of the command in that file."""
    spec = importlib.util.find_spec(f"assistant.cli.{name.replace('-', '_')}")
    text = Path(spec.origin).read_text(encoding="utf-8") if spec is not None and spec.origin else ""
    functions = (each for each in ast.parse(text).body if isinstance(each, ast.FunctionDef) and each.name == "command")
    words = next((ast.get_docstring(each) or "" for each in functions), "").split("\n\n")[0]
    return " ".join(words.split()).partition(". ")[0].rstrip(".")


@click.group(
    cls=CommandFiles,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Example: hoodside start no-start --vehicle cylinders=4 --vehicle fuel=petrol",
)
@click.version_option(package_name="hoodside", prog_name="hoodside")
@click.pass_context
def hoodside(context: click.Context) -> None:
    """Lead one technician, hands-free and by voice, through the diagnosis of an engine that will not run.

    Without a command it offers what is open, and the last car. Ctrl-C ends any command; nothing that was recorded is
    lost, and a job says how to go on.
    """
    if context.invoked_subcommand is None:
        go = hoodside.get_command(context, "go")
        if go is not None:
            go.main(args=[], prog_name="hoodside", standalone_mode=False)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command and leave with its exit code."""
    sys.exit(run(arguments))


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command; its exit code: 0 done, 1 no, 2 wrong use, 3 the machine lacks something, 4 no record."""
    forbid_sending()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a sign that the terminal lacks is no reason to stop a job
            stream.reconfigure(errors="backslashreplace")
    try:
        with ended_by_signals():
            answer = hoodside.main(args=arguments, prog_name="hoodside", standalone_mode=False)
    except HoodsideError as error:
        click.echo(f"hoodside: {error}", err=True)
        return error.exit_code
    except click.ClickException as error:
        click.echo(f"hoodside: {error.format_message()} Try --help.", err=True)
        return WRONG_USE
    except BrokenPipeError:
        # Whoever read our output has gone; what is recorded is kept, and nothing more can be said.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return READER_GONE
    except (click.Abort, KeyboardInterrupt):
        exec("")  # where Ctrl-C cut short another exec (a data class in the making), Python else ends by SIGINT
        click.echo("hoodside: interrupted; nothing recorded is lost.", err=True)
        return INTERRUPTED
    except Ended as signal:
        click.echo(f"hoodside: ended by {signal}; nothing recorded is lost.", err=True)
        return signal.exit_code
    return answer if isinstance(answer, int) else 0


if __name__ == "__main__":
    main()

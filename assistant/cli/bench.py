"""`hoodside bench`: measurements, each a file of `assistant/bench` that exports a click `command`."""

from __future__ import annotations

import importlib

import click

from assistant.cli._groups import HelpfulGroup

NAMES = (
    "all", "attacks", "breath", "crank", "dictation", "echo", "gate", "hear", "latency", "learn", "led", "phones",
    "ready", "reason", "record", "said", "second", "shop", "starter", "stop", "tones", "understand", "voice",
)  # fmt: skip


class BenchFiles(HelpfulGroup):
    """Imports a measurement only when it is wanted: some need much that the others do not."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the measurements."""
        return sorted(NAMES)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """`--all` is the measurement `all`."""
        return super().parse_args(ctx, ["all" if word == "--all" else word for word in args])

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The measurement of that name, or None."""
        if cmd_name not in NAMES:
            return None
        command = importlib.import_module(f"assistant.bench.{cmd_name}").command
        if not isinstance(command, click.Command):
            raise TypeError(f"assistant/bench/{cmd_name}.py: `command` is not a click command")
        return command


@click.group(cls=BenchFiles, epilog="Example: hoodside bench reason --cars 200 --json")
def command() -> None:
    """Measure how good and how fast the program is on this machine."""

"""`hoodside bench`: measurements, files of `assistant/bench` or `assistant/training` that have a click `command`."""

from __future__ import annotations

import importlib

import click

from assistant.bench.checkout import has_training, training
from assistant.cli._groups import HelpfulGroup

NAMES = (
    "all", "attacks", "breath", "crank", "cut", "dictation", "echo", "hear", "job", "knock", "latency", "learn", "led",
    "ready", "reason", "record", "said", "shop", "stop", "tones", "understand", "voice",
)  # fmt: skip
TRAINED = ("commands", "gate", "phones", "second", "starter", "writing")
"""Those that learn weights: files of `assistant/training`, which an installed package lacks."""


class BenchFiles(HelpfulGroup):
    """Imports a measurement only when it is wanted: some need much that the others do not."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the measurements."""
        return sorted((*NAMES, *(TRAINED if has_training() else ())))

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """`--all` is the measurement `all`."""
        return super().parse_args(ctx, ["all" if word == "--all" else word for word in args])

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The measurement of that name, or None."""
        if cmd_name not in (*NAMES, *TRAINED):
            return None
        trains = cmd_name in TRAINED
        command = (training(cmd_name) if trains else importlib.import_module(f"assistant.bench.{cmd_name}")).command
        if not isinstance(command, click.Command):
            raise TypeError(f"the measurement '{cmd_name}' exports no click command")
        return command


@click.group(cls=BenchFiles, epilog="Example: hoodside bench reason --cars 200 --json")
def command() -> None:
    """Measure how good and how fast the program is on this machine."""

"""Options of a session that are read together."""

from __future__ import annotations

import click
import pytest
from click.testing import CliRunner

from assistant.cli._session import read_wishes, session_options
from assistant.language.signals import Signal


@pytest.mark.parametrize(
    ("options", "without"),
    [
        ([], {Signal.HEARD}),
        (["--early-tone"], set()),
        (["--no-tone", "taken"], {Signal.HEARD, Signal.TAKEN}),
        (["--no-tone", "taken", "--early-tone"], {Signal.TAKEN}),
        (["--no-tone", "all", "--early-tone"], set(Signal)),
    ],
)
def test_which_tones_are_left_out(options: list[str], without: set[Signal]) -> None:
    """The early one sounds only where it is wished for: what it costs hearing is not measured."""

    @click.command()
    @session_options
    def command(**wished: object) -> None:
        click.echo(" ".join(sorted(read_wishes(**wished).without_tones)))  # type: ignore[arg-type]

    told = CliRunner().invoke(command, ["--hear", "typed", *options])
    assert set(told.stdout.split()) == {each.value for each in without}

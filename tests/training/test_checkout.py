"""Training is reached by its commands in a checkout, and told to be missing elsewhere."""

from __future__ import annotations

import sys

import pytest
from click.testing import CliRunner

from assistant.bench.checkout import training
from assistant.cli.bench import NAMES, TRAINED, command
from assistant.errors import UsageError


def test_in_a_checkout_each_measurement_and_each_training_is_a_command():
    """By the names that they always had."""
    assert sorted(command.list_commands(None)) == sorted((*NAMES, *TRAINED))
    assert [name for name in TRAINED if command.get_command(None, name) is None] == []


def test_without_the_sources_training_is_not_offered_and_says_why(monkeypatch: pytest.MonkeyPatch):
    """One sentence; the measurements stay, and what is no command is none."""
    monkeypatch.setitem(sys.modules, "assistant.training", None)
    assert command.list_commands(None) == sorted(NAMES)
    for ask in (lambda: training("stop"), lambda: command.get_command(None, "gate")):
        with pytest.raises(UsageError, match="in a checkout of the sources"):
            ask()
    assert command.get_command(None, "nothing") is None
    assert "reason" in CliRunner().invoke(command, ["--help"]).output

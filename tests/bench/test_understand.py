"""Own words are measured at the steps that ask for them, and an answer that cannot be one is not held against them."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.bench.understand import Answer, asks, command
from assistant.errors import UsageError
from assistant.wiring import load_libraries, shipped_procedures

ASKED = '{"procedure": "no-start", "step": "runs", "said": "made up words of nobody", "result": "unknown"}\n'
CALLS = '{"procedure": "no-start", "step": "battery", "said": "made up words of nobody", "result": "good"}\n'


def test_a_step_that_leads_into_another_procedure_is_told_and_left_out(tmp_path: Path) -> None:
    """It has results, of the procedure that it calls, but asks nothing."""
    file = tmp_path / "words.jsonl"
    file.write_text(ASKED + CALLS, encoding="utf-8")
    run = CliRunner().invoke(command, [str(file)])
    assert run.exit_code == 0
    assert "1 answers" in run.stdout
    assert "1 left out, at steps that ask nothing" in run.stderr


@pytest.mark.parametrize(("procedure", "step"), [("none-such", "runs"), ("no-start", "none-such")])
def test_a_step_that_is_not_there_is_told(procedure: str, step: str) -> None:
    """By its name."""
    _, library = load_libraries(tuple(shipped_procedures()))
    with pytest.raises(UsageError, match="none-such"):
        asks(Answer(procedure=procedure, step=step, said="", result=""), library)

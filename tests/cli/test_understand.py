"""`hoodside understand`: what a step makes of lines, also of bytes that are no text."""

from __future__ import annotations

import io
import json

import pytest

from assistant.__main__ import run


def test_bytes_that_are_no_text_are_never_part_of_an_answer(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was lost may have been a "not"; and what is printed is text that every reader takes."""
    said = io.BytesIO(b"the lamp went out\nthe lamp went \xff out\n")
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(said, encoding="utf-8", errors="surrogateescape"))
    assert run(["understand", "no-start", "security"]) == 0
    whole, broken = map(json.loads, capsys.readouterr().out.splitlines())
    assert whole["result"] == "out" and broken["result"] is None and broken["offer"] is None
    broken["said"].encode("utf-8")

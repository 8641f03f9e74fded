"""Each file of tests/broken has exactly the faults that its first lines tell, word for word."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from assistant.language.commands import ALWAYS, COMMAND_PHRASES
from assistant.procedure.checks import check_texts

FOLDER = Path(__file__).parent.parent / "broken"
FILES = sorted(file for file in FOLDER.glob("*.yaml") if ".faults." not in file.name)
ALWAYS_LEGAL = [phrase for control in ALWAYS for phrase in COMMAND_PHRASES[control]]


def told(text: str) -> list[str]:
    """The expected messages: the comment lines at the top of the file."""
    lines = text.splitlines()
    return [line.removeprefix("# ") for line in lines[: next((n for n, s in enumerate(lines) if s[:2] != "# "), None)]]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_tells_exactly_these_faults(file: Path, lamp: dict[str, str]) -> None:
    """A broken file yields the expected messages, each at its line and column, and no other."""
    if file.stem == "not-yaml" and not yaml.__with_libyaml__:
        pytest.skip("the reason that PyYAML gives differs by one word without its C parser")
    text = file.read_text(encoding="utf-8")
    faults = check_texts({file.name: text}, ALWAYS_LEGAL, beside=lamp)
    assert told(text)
    assert [str(fault).removeprefix(f"{file.name}:") for fault in faults] == told(text)


def test_every_message_says_found_expected_do() -> None:
    """Each message has the three parts that an author needs."""
    messages = [message for file in FILES for message in told(file.read_text(encoding="utf-8"))]
    assert len(messages) > 100
    for message in messages:
        assert ": found " in message
        assert "; expected " in message
        assert "; do " in message or "; " in message.split("; expected ")[1]

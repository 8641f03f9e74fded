"""Each broken file has exactly the faults that it is said to have, word for word."""

from __future__ import annotations

import pytest
import yaml

from assistant.language.commands import ALWAYS, COMMAND_PHRASES
from assistant.procedure.checks import check_texts
from tests.broken import Broken, broken

FILES = broken(".yaml")
ALWAYS_LEGAL = [phrase for control in ALWAYS for phrase in COMMAND_PHRASES[control]]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_tells_exactly_these_faults(file: Broken, lamp: dict[str, str]) -> None:
    """A broken file yields the expected messages, each at its line and column, and no other."""
    if file.name == "not-yaml" and not yaml.__with_libyaml__:
        pytest.skip("the reason that PyYAML gives differs by one word without its C parser")
    faults = check_texts({file.file: file.text}, ALWAYS_LEGAL, beside=lamp)
    assert file.told
    assert [str(fault).removeprefix(f"{file.file}:") for fault in faults] == file.told


def test_every_message_says_found_expected_do() -> None:
    """Each message has the three parts that an author needs."""
    messages = [message for file in FILES for message in file.told]
    assert len(messages) > 100
    for message in messages:
        assert ": found " in message
        assert "; expected " in message
        assert "; do " in message or "; " in message.split("; expected ")[1]

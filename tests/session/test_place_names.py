"""The names by which a test is led to: each is one block's alone, and people's own nouns are among them."""

from __future__ import annotations

import pytest

from assistant.procedure.sound import unknown_words
from assistant.wiring.fault_models import load_model


@pytest.fixture(scope="module")
def blocks():
    """The blocks of the shipped model."""
    return load_model("no-start").blocks


def test_no_name_is_two_blocks(blocks):
    """Else "take me to the plugs" leads to whichever stands first."""
    names = [name for block in blocks for name in {block.say, *block.also}]
    assert len(names) == len(set(names))


def test_each_can_be_said_and_heard(blocks):
    """The recogniser listens for them, so that the sound of each word must be known."""
    assert not [name for block in blocks for name in block.also if unknown_words(name)]
    assert {"pump", "fuses", "plugs", "codes"} <= {name for block in blocks for name in block.also}

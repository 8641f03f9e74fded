"""The same words, unsure twice in a row, are sure, unless free writing says the opposite of them."""

from __future__ import annotations

import pytest

from assistant.guide import Mode
from assistant.language.model import Heard
from tests.guide.small import small_library
from tests.session.room import Room


@pytest.mark.parametrize(("free_text", "left"), [("", Mode.CONFIRMING), ("Not all clean.", Mode.ASKING)])
def test_twice_unsure_is_sure_unless_contradicted(free_text: str, left: Mode) -> None:
    """An answer is offered and then taken; where the network writes its opposite it is asked for again and again."""
    room = Room(small_library(), procedure="small")
    room.type("done")
    heard = Heard(words="all clean", confidence=0.3, unsure=True, free_text=free_text or None)
    room.conversation.hear(heard, 5.0)
    room.conversation.hear(heard, 8.0)
    assert room.conversation.state.mode is left
    assert not any(fact.kind == "result-logged" for fact in room.facts)

"""Several fault codes told in one sentence are each kept, or asked for one by one."""

from __future__ import annotations

from assistant.facts import FactKind
from assistant.guide import Mode, State, advance
from assistant.guide.state import Frame, Position
from assistant.language.model import GiveCode, Heard

TOLD = GiveCode(code="P0335", words="p0335 and p0340", more=("P0340",))


def at_the_codes(**more) -> State:
    """A job that waits for codes."""
    position = Position(at=Frame(procedure="no-start", step="codes"))
    return State(key="k", mode=Mode.ASKING, root="no-start", position=position, instructed=True, **more)


def test_each_is_kept_and_echoed(library):
    """In their order, with what they stand for."""
    turn = advance(library, at_the_codes(), TOLD, 1.0)
    assert [fact.data["code"] for fact in turn.facts if fact.kind is FactKind.CODE_LOGGED] == ["P0335", "P0340"]
    said = " ".join(each.text for each in turn.reply)
    assert "zero three three five" in said and "zero three four zero" in said


def test_where_each_waits_for_its_yes_they_are_asked_for_one_by_one(library):
    """The first is read back, and the others are not lost without a word."""
    heard = Heard(words=TOLD.words, confidence=1.0)
    turn = advance(library, at_the_codes(always_confirm=True), TOLD, 1.0, heard=heard)
    assert not any(fact.kind is FactKind.CODE_LOGGED for fact in turn.facts)
    said = " ".join(each.text for each in turn.reply)
    assert turn.state.mode is Mode.CONFIRMING and "One code after the other." in said

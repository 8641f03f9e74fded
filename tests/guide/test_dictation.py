"""Free words: read back, marked as not proofed unless they were typed, and struck by voice right after."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide.state import Mode
from tests.guide.job import Job

BY_EAR = {"engine": "embedded", "confidence": 0.62}


def test_a_note_by_ear_is_read_back_with_how_to_strike_it() -> None:
    """Each time: free words are often misheard. Its confidence and its mark go with it."""
    job = Job("done", "note").say("belt is worn", **BY_EAR)
    assert job.said.startswith("I kept: belt is worn. Say strike that if it is wrong.")
    (note,) = job.turn.facts
    assert (note.kind, note.data["proofed"]) == (FactKind.NOTE_TAKEN, False)
    assert note.data["hearing"] == {"engine": "embedded", "confidence": 0.62}
    assert "Say strike that if it is wrong." in job.say("note").say("belt is old", **BY_EAR).said


def test_typed_words_are_proofed() -> None:
    """They stand as they were written."""
    (note,) = Job("done", "note").say("belt is worn").turn.facts
    assert note.data["proofed"] is True


@pytest.mark.parametrize("before", [(), ("all clean",)], ids=["asking", "over a read-back"])
def test_strike_that_right_after_a_note_strikes_the_note(before: tuple[str, ...]) -> None:
    """Also over an answer that waits for its yes: what was read back last is meant."""
    job = Job("done", *before, "note").say("belt is worn", **BY_EAR)
    note, mode = job.turn.facts[0], job.state.mode
    job.say("strike that").say("yes")
    (struck,) = job.turn.facts
    assert (struck.kind, struck.data["struck"]) == (FactKind.STRUCK, note.id)
    assert job.state.mode is mode
    if mode is Mode.CONFIRMING:
        job.say("strike that")
        assert job.kinds == [FactKind.RESULT_REJECTED], "the next one means the read-back again"


def test_a_reason_for_a_skip_is_marked_too() -> None:
    """It is free words as well."""
    job = Job("done", "all clean", "yes", "skip").say("it was done yesterday", **BY_EAR)
    skipped = next(fact for fact in job.turn.facts if fact.kind is FactKind.STEP_SKIPPED)
    assert skipped.data["proofed"] is False


def test_what_is_too_long_to_keep_is_told() -> None:
    """The first 2000 characters are kept, and both the voice and the fact say that there were more."""
    job = Job("done", "note").say("word " * 399 + "words")
    (whole,) = job.turn.facts
    assert len(whole.data["words"]) == 2_000 and "cut" not in whole.data
    job = Job("done", "note").say("word " * 401)
    (note,) = job.turn.facts
    assert len(note.data["words"]) == 2_000 and note.data["cut"] is True
    assert job.said.startswith("That was too long: I kept its first 2000 characters. Say the rest as another note.")

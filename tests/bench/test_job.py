"""What of a job counts as said, and as heard at once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from assistant.bench.job import FREE_WORDS, own_words_of, things_said
from assistant.guide import Mode
from assistant.guide.state import NEW, Frame, Position
from assistant.rehearsal.cars import DEAD_PUMP
from assistant.rehearsal.play import Exchange
from assistant.rehearsal.technician import Technician
from assistant.wiring import load_library


def exchange(mode: Mode, meant: str, *, taken: bool = True) -> Exchange:
    """One thing said at a step of no importance."""
    return Exchange(
        at_s=0.0, procedure="p", step="s", mode=mode.value, meant=meant, heard=meant if taken else None,
        confidence=1.0, took_ms=1.0, taken=taken,
    )  # fmt: skip


def test_a_repeat_counts_against_what_was_said_first_and_for_nothing_itself() -> None:
    """Asked again twice, then taken: one thing, not at once; what follows is another thing."""
    job = [
        exchange(Mode.ASKING, "dead", taken=False),
        exchange(Mode.ASKING, "dead", taken=False),
        exchange(Mode.ASKING, "dead"),
        exchange(Mode.CONFIRMING, "yes"),
    ]
    assert list(things_said(job)) == [("answers", False), ("a yes to what was read back", True)]


def test_what_had_to_be_denied_was_not_heard_at_once() -> None:
    """Taken for something else, read back, denied and said again."""
    job = [
        exchange(Mode.ASKING, "dead"),
        exchange(Mode.CONFIRMING, "no"),
        exchange(Mode.ASKING, "dead"),
        exchange(Mode.CONFIRMING, "yes"),
    ]
    assert list(things_said(job)) == [("answers", False), ("a yes to what was read back", True)]


def test_a_stop_heard_in_it_is_a_repeat_and_free_words_do_not_count() -> None:
    """The job held by a misheard word costs a word more; a note has no right or wrong here."""
    job = [
        exchange(Mode.ASKING, FREE_WORDS),
        exchange(Mode.CAUTIONING, "nothing can roll"),
        exchange(Mode.HELD, "resume"),
        exchange(Mode.CAUTIONING, "nothing can roll"),
        exchange(Mode.NOTING, "the gauge stands at empty"),
        exchange(Mode.POISED, "ready"),
    ]
    assert list(things_said(job)) == [("acknowledgements and gates", False), ("commands", True)]


def test_own_words_are_said_where_somebody_has_some(tmp_path: Path) -> None:
    """In place of the phrases, by place and result; after two tries the plain phrase."""
    file = tmp_path / "own.jsonl"
    line = '{"procedure": "no-start", "step": "changed", "said": "nah not a thing", "result": "nothing"}'
    file.write_text(line + "\n", encoding="utf-8")
    _, library = load_library("no-start")
    technician = Technician(DEAD_PUMP, library, own_words_of(file))
    at = Position(at=Frame(procedure="no-start", step="changed"))
    state = replace(NEW, mode=Mode.ASKING, root="no-start", position=at)
    assert [technician.answer(state, tries) for tries in (0, 1)] == ["nah not a thing"] * 2
    changed = next(each for each in library["no-start"].step("changed").results if each.id == "nothing")
    assert technician.answer(state, 2) in changed.phrases

"""A result that was heard is held against what was written freely of the same sound."""

from __future__ import annotations

from dataclasses import replace

from assistant.language.model import GiveResult, Heard, Unclear
from assistant.language.second_opinion import trust_in
from assistant.language.understand import understand
from tests.language.test_guess import LAMP


def _heard(words: str, sure: float, written: str, *, unsure: bool = False) -> Heard:
    return Heard(words=words, confidence=sure, unsure=unsure, engine="embedded", free_text=written)


def test_free_writing_speaks_for_or_against_a_result() -> None:
    """For the same sound and trust; what is like nothing known says little."""
    heard = _heard("lamp is out", 0.6, "")
    of = {written: trust_in(heard, "out", written, LAMP) for written in ("the lamp went out", "", "lamp is burning")}
    assert of["the lamp went out"] > of[""] > of["lamp is burning"]
    assert abs(trust_in(heard, "out", "pass me the screwdriver", LAMP) - of[""]) < 0.15


def test_what_both_say_is_taken_though_it_was_unsure() -> None:
    """It is read back all the same."""
    taken = understand(_heard("lamp is out", 0.3, "The lamp went out", unsure=True), LAMP)
    assert isinstance(taken, GiveResult) and taken.result == "out"


def test_what_free_writing_contradicts_is_not_taken() -> None:
    """However sure the grammar was, for it knows no other sentences; nor is the opposite offered."""
    unclear = understand(_heard("lamp is out", 0.93, "It is burning, bright red."), LAMP)
    assert isinstance(unclear, Unclear)
    assert unclear.offer != "lamp is out"


def test_nothing_becomes_surer_where_it_can_hurt_someone() -> None:
    """An unsure answer of a hazardous step stays unsure."""
    unclear = understand(_heard("lamp is out", 0.5, "the lamp went out", unsure=True), replace(LAMP, hazardous=True))
    assert isinstance(unclear, Unclear)


def test_typed_words_need_no_second() -> None:
    """They stand as they were written."""
    typed = Heard(words="lamp is out", confidence=1.0, free_text="it is burning")
    assert isinstance(understand(typed, LAMP), GiveResult)


def test_a_plain_phrase_needs_less_than_a_chatty_sentence() -> None:
    """Of one short word free writing makes anything; what says the opposite still counts."""
    plain, chatty = (_heard(words, 0.5, "Lead.") for words in ("lamp is out", "it is dark"))
    assert isinstance(understand(plain, LAMP), GiveResult)
    assert isinstance(understand(chatty, LAMP), Unclear)
    assert isinstance(understand(replace(plain, free_text="lamp is burning bright red"), LAMP), Unclear)

"""A result that was heard is held against what was written freely of the same sound."""

from __future__ import annotations

from dataclasses import replace

from assistant.language.commands import ALWAYS
from assistant.language.model import Expected, GiveControl, GiveReading, GiveResult, Heard, Unclear
from assistant.language.second_opinion import trust_in
from assistant.language.understand import meaning_of_offer, understand
from assistant.procedure.model import Quantity
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


def test_a_sentence_that_is_strange_for_its_result_is_trusted_less() -> None:
    """A grammar knows sentences that nobody says; noise and other words come out as these."""
    usual, strange = (trust_in(_heard(words, 0.9, ""), "out", "", LAMP) for words in ("lamp is out", "it burnt out"))
    assert usual > strange


def test_a_command_that_free_writing_does_not_bear_out_is_said_again() -> None:
    """Where an answer is waited for; a stop is obeyed all the same, and what was not written freely stands."""
    skip = understand(_heard("skip", 0.85, "Just make."), LAMP)
    assert isinstance(skip, Unclear) and skip.offer is None
    assert isinstance(understand(_heard("skip", 0.85, "Skip this"), LAMP), GiveControl)
    assert isinstance(understand(_heard("stop", 0.6, "So,"), LAMP), GiveControl)
    assert isinstance(understand(replace(_heard("skip", 0.95, ""), free_text=None), LAMP), GiveControl)


def test_a_reading_that_only_free_writing_holds_is_offered_as_it_was_shown() -> None:
    """Never taken: the grammar refused it."""
    volts = Expected(controls=ALWAYS, quantity=Quantity.VOLTAGE, unit="V")
    unclear = understand(replace(_heard("", 0.0, "Drop to 7.9."), words=None), volts)
    assert isinstance(unclear, Unclear) and unclear.offer == "seven point nine volts"
    assert meaning_of_offer(unclear.offer, volts) == GiveReading(
        value=7.9, unit="V", words="seven point nine volts", spoken="seven point nine volts"
    )
    assert isinstance(understand(replace(_heard("", 0.0, "Not far."), words=None), volts), Unclear)

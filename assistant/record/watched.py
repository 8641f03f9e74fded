"""What happens in a job that another bay leads, a line for each thing that says how it goes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.facts import Fact, FactKind
from assistant.record.read_fact import flag, number, plain_words, text
from assistant.record.wording import amount, elapsed

Tell = Callable[[Fact], str | None]


def watched(fact: Fact) -> str | None:
    """The line, with the time since the job began; None for what only the bay itself needs to know."""
    words = TOLD[fact.kind](fact) if fact.kind in TOLD else None
    return f"{elapsed(fact.at_s):>8}  {words}" if words else None


def _place(fact: Fact) -> str:
    return f"at {plain_words(fact.procedure or '')}: {plain_words(fact.step or '')}"


def _result(fact: Fact) -> str | None:
    if "known" in fact.data or "outcome_of" in fact.data:
        return None
    return f"answer: {plain_words(text(fact.data, 'result') or 'none')}"


def _told_test(fact: Fact) -> str:
    return f"told: {plain_words(text(fact.data, 'test') or '')}: {plain_words(text(fact.data, 'result') or '')}"


def _reading(fact: Fact) -> str:
    value, band = number(fact.data, "value"), text(fact.data, "band")
    shown = "no number" if value is None else amount(value, text(fact.data, "unit") or "")
    name = plain_words(text(fact.data, "name") or fact.step or "")
    return f"reading: {name} {shown}" + (f" ({plain_words(band)})" if band else "")


def _noted(fact: Fact) -> str:
    return f"noted: {plain_words(text(fact.data, 'fact') or '')} {text(fact.data, 'value') or ''}"


def _burst(fact: Fact) -> str:
    known = flag(fact.data, "caught")
    caught = "" if known is None else ", it caught" if known else ", it did not catch"
    length = number(fact.data, "seconds")
    return f"the starter turned{'' if length is None else f' for {length:g} s'}{caught}"


def _finding(fact: Fact) -> str:
    return f"finding: {plain_words(text(fact.data, 'fault') or fact.step or '')}"


def _fault(words: str) -> Tell:
    return lambda fact: f"{words}: {plain_words(text(fact.data, 'fault') or 'taken back')}"


def _said(words: str) -> Tell:
    return lambda fact: f"{words}: {text(fact.data, 'words') or ''}"


def _plain(words: str) -> Tell:
    return lambda _fact: words


def _over(fact: Fact) -> str:
    return f"taken over by {text(fact.data, 'bay') or 'another bay'} from {text(fact.data, 'from') or 'another bay'}"


TOLD: Mapping[FactKind, Tell] = {
    FactKind.JOB_STARTED: _plain("the job began"),
    FactKind.VEHICLE_NOTED: _noted,
    FactKind.STEP_ENTERED: _place,
    FactKind.RESULT_LOGGED: _result,
    FactKind.READING_LOGGED: _reading,
    FactKind.CODE_LOGGED: lambda fact: f"fault code: {text(fact.data, 'code') or ''}",
    FactKind.TEST_TOLD: _told_test,
    FactKind.WORDS_KEPT: _said("said"),
    FactKind.NOTE_TAKEN: _said("note"),
    FactKind.BURST_ENDED: _burst,
    FactKind.STOPPED: _plain("stopped"),
    FactKind.PAUSED: _plain("paused"),
    FactKind.RESUMED: _plain("taken up again"),
    FactKind.WENT_BACK: _plain("went back"),
    FactKind.STEP_SKIPPED: _plain("skipped"),
    FactKind.STRUCK: _plain("something was struck"),
    FactKind.TEST_LEFT_OUT: lambda fact: f"left out: {plain_words(text(fact.data, 'why') or '')}",
    FactKind.FINDING_REACHED: _finding,
    FactKind.REPAIR_DONE: _fault("repair done"),
    FactKind.REPAIR_FAILED: _fault("repair that did not hold"),
    FactKind.REPAIR_CONFIRMED: _fault("repair confirmed"),
    FactKind.TAKEN_OVER: _over,
    FactKind.JOB_ENDED: _plain("the job ended"),
}
"""What is told of each kind; cautions, questions and waits are the bay's own matter."""

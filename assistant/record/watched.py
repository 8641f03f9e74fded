"""What happens in a job that another bay leads, a line for each thing that says how it goes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.facts import (
    BurstEnded,
    CodeLogged,
    Fact,
    FactKind,
    FindingReached,
    NoteTaken,
    ReadingLogged,
    RepairConfirmed,
    RepairDone,
    RepairFailed,
    ResultLogged,
    TakenOver,
    TestLeftOut,
    TestTold,
    VehicleNoted,
    WordsKept,
)
from assistant.record.wording import amount, elapsed, known, plain_words

Tell = Callable[[Fact], str | None]


def watched(fact: Fact) -> str | None:
    """The line, with the time since the job began; None for what only the bay itself needs to know."""
    words = TOLD[fact.kind](fact) if fact.kind in TOLD else None
    return f"{elapsed(fact.at_s):>8}  {words}" if words else None


def _place(fact: Fact) -> str:
    return f"at {plain_words(fact.procedure or '')}: {plain_words(fact.step or '')}"


def _result(fact: Fact) -> str | None:
    said = fact.shows(ResultLogged)
    return None if said.unsaid else f"answer: {plain_words(said.result or 'none')}"


def _told_test(fact: Fact) -> str:
    said = fact.shows(TestTold)
    return f"told: {plain_words(said.test)}: {plain_words(said.result)}"


def _reading(fact: Fact) -> str:
    said = fact.shows(ReadingLogged)
    value = known(said.value)
    shown = "no number" if value is None else amount(value, said.unit)
    name = plain_words(said.name or fact.step or "")
    return f"reading: {name} {shown}" + (f" ({plain_words(said.band)})" if said.band else "")


def _noted(fact: Fact) -> str:
    said = fact.shows(VehicleNoted)
    return f"noted: {plain_words(said.fact)} {said.value}"


def _burst(fact: Fact) -> str:
    said = fact.shows(BurstEnded)
    caught = "" if said.caught is None else ", it caught" if said.caught else ", it did not catch"
    length = known(said.seconds)
    return f"the starter turned{'' if length is None else f' for {length:g} s'}{caught}"


def _finding(fact: Fact) -> str:
    return f"finding: {plain_words(fact.shows(FindingReached).fault or fact.step or '')}"


def _fault(words: str) -> Tell:
    def tell(fact: Fact) -> str:
        said = fact.legible
        fault = said.fault if isinstance(said, RepairDone | RepairFailed | RepairConfirmed) else None
        return f"{words}: {plain_words(fault or 'taken back')}"

    return tell


def _said(words: str) -> Tell:
    def tell(fact: Fact) -> str:
        said = fact.legible
        return f"{words}: {said.words if isinstance(said, WordsKept | NoteTaken) else ''}"

    return tell


def _plain(words: str) -> Tell:
    return lambda _fact: words


def _over(fact: Fact) -> str:
    said = fact.shows(TakenOver)
    return f"taken over by {said.bay or 'another bay'} from {said.from_bay or 'another bay'}"


TOLD: Mapping[FactKind, Tell] = {
    FactKind.JOB_STARTED: _plain("the job began"),
    FactKind.VEHICLE_NOTED: _noted,
    FactKind.STEP_ENTERED: _place,
    FactKind.RESULT_LOGGED: _result,
    FactKind.READING_LOGGED: _reading,
    FactKind.CODE_LOGGED: lambda fact: f"fault code: {fact.shows(CodeLogged).code}",
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
    FactKind.TEST_LEFT_OUT: lambda fact: f"left out: {plain_words(fact.shows(TestLeftOut).why)}",
    FactKind.FINDING_REACHED: _finding,
    FactKind.REPAIR_DONE: _fault("repair done"),
    FactKind.REPAIR_FAILED: _fault("repair that did not hold"),
    FactKind.REPAIR_CONFIRMED: _fault("repair confirmed"),
    FactKind.TAKEN_OVER: _over,
    FactKind.JOB_ENDED: _plain("the job ended"),
}
"""What is told of each kind; cautions, questions and waits are the bay's own matter."""

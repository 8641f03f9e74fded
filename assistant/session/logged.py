"""Facts of a job as a fault model reads them: which step told what, without all that was struck."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.facts import (
    CodeLogged,
    Fact,
    FactKind,
    InstructionDone,
    ReadingLogged,
    ResultLogged,
    Struck,
    TestTold,
    WordsKept,
)
from assistant.language.complaints import told_in
from assistant.procedure.vehicle import VEHICLE_FACTS
from assistant.reasoning.evidence import OWN_CHOICE, Logged

NO_CODES = "none"
"""What a step that asks for fault codes tells when it was done without one."""

TELLING = frozenset(
    {
        *(FactKind.RESULT_LOGGED, FactKind.READING_LOGGED, FactKind.CODE_LOGGED),
        *(FactKind.TEST_TOLD, FactKind.INSTRUCTION_DONE, FactKind.STRUCK, FactKind.WORDS_KEPT),
    }
)
"""The kinds of fact that can change what is known of the car."""


def logged(facts: Iterable[Fact]) -> tuple[Logged, ...]:
    """Every result, band, fault code, test told by own choice and what a complaint tells that still counts, in order.

    Bands, not readings: the procedure has judged them by the limits of this very vehicle.
    """
    facts = tuple(facts)
    struck = {said.struck for fact in facts if isinstance(said := fact.said, Struck)}
    found: list[Logged] = []
    for fact in facts:
        said = fact.said
        if isinstance(said, TestTold) and fact.id not in struck:
            found.append((OWN_CHOICE, said.test, said.result))
        if isinstance(said, WordsKept) and fact.id not in struck:
            found.extend((fact.procedure or "", fact.step or "", told) for told in told_in(said.words or ""))
        answer = _answer(fact) if fact.id not in struck else None
        if answer is None or fact.procedure is None or fact.step is None:
            continue
        place = (fact.procedure, fact.step)
        if fact.kind is not FactKind.INSTRUCTION_DONE or all((one[0], one[1]) != place for one in found):
            found.append((*place, answer))
    return tuple(found)


def _answer(fact: Fact) -> str | None:
    match fact.said:
        case ResultLogged(known=known) if known is not None and known not in VEHICLE_FACTS:
            return None  # it was told at another step, and counts by that
        case ResultLogged(result=answer) | ReadingLogged(band=answer) | CodeLogged(code=answer):
            return answer
        case InstructionDone():
            return NO_CODES
        case _:
            return None

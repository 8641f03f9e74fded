"""Facts of a job as a fault model reads them: which step told what, without all that was struck."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.facts import (
    BurstEnded,
    CodeLogged,
    Fact,
    FactKind,
    InstructionDone,
    ItemRefitted,
    ItemRemoved,
    ReadingLogged,
    ResultLogged,
    Struck,
    TestTold,
    VehicleNoted,
    WordsKept,
)
from assistant.guide.proposal import FAST_RPM, SLOW_RPM, USUAL_RPM
from assistant.language.complaints import told_in
from assistant.procedure.condition import TURNS_OTHERWISE
from assistant.procedure.vehicle import VEHICLE_FACTS
from assistant.reasoning.evidence import BY_EAR, OWN_CHOICE, Logged

NO_CODES = "none"
"""What a step that asks for fault codes tells when it was done without one."""

TELLING = frozenset(
    {
        *(FactKind.RESULT_LOGGED, FactKind.READING_LOGGED, FactKind.CODE_LOGGED),
        *(FactKind.TEST_TOLD, FactKind.INSTRUCTION_DONE, FactKind.STRUCK, FactKind.WORDS_KEPT),
        *(FactKind.BURST_ENDED, FactKind.ITEM_REMOVED, FactKind.ITEM_REFITTED),
    }
)
"""The kinds of fact that can change what is known of the car."""


def logged(facts: Iterable[Fact], before: Iterable[Fact] = ()) -> tuple[Logged, ...]:
    """Every result, band, fault code, test told by own choice and what a complaint tells that still counts, in order.

    Bands, not readings: the procedure has judged them by the limits of this very vehicle. `before`: facts that come
    before these and are counted elsewhere; what they took off or added is so.
    """
    facts = tuple(facts)
    struck = {said.struck for fact in facts if isinstance(said := fact.said, Struck)}
    fuel = _fuel(facts)
    found: list[Logged] = []
    otherwise = _otherwise(before, set())
    for fact in facts:
        said = fact.said
        if isinstance(said, TestTold) and fact.id not in struck:
            found.append((OWN_CHOICE, said.test, said.result))
        otherwise = _otherwise((fact,), otherwise)
        if isinstance(said, BurstEnded) and not otherwise and (speed := _speed(said)):
            found.append((BY_EAR, "", speed))
        if isinstance(said, WordsKept) and fact.id not in struck:
            found.extend((fact.procedure or "", fact.step or "", told) for told in told_in(said.words or "", fuel))
        answer = _answer(fact) if fact.id not in struck else None
        if answer is None or fact.procedure is None or fact.step is None:
            continue
        place = (fact.procedure, fact.step)
        if fact.kind is not FactKind.INSTRUCTION_DONE or all((one[0], one[1]) != place for one in found):
            found.append((*place, answer))
    return tuple(found)


def _fuel(facts: tuple[Fact, ...]) -> str:
    """What the engine burns as told last, for "filled it up with diesel" is worth by it; empty where nobody told."""
    told = (said.value for fact in facts if isinstance(said := fact.said, VehicleNoted) and said.fact == "fuel")
    return str(next(reversed(tuple(told)), ""))


def _otherwise(facts: Iterable[Fact], already: set[str]) -> set[str]:
    """What is on or off the car after these facts, of that with which it turns otherwise."""
    for said in (fact.said for fact in facts):
        if isinstance(said, ItemRemoved):
            already = already | ({said.item} & TURNS_OTHERWISE)
        if isinstance(said, ItemRefitted):
            already = already - {said.item}
    return already


def _speed(burst: BurstEnded) -> str:
    """How the engine turned by the measured speed alone; empty where that does not tell."""
    if burst.by != "ear" or not burst.rpm or burst.kind is not None:
        return ""
    return "slow" if burst.rpm < SLOW_RPM else "normal" if USUAL_RPM <= burst.rpm <= FAST_RPM else ""


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

"""What was told beside results: the vehicle, the complaint, notes, codes, cautions, open items, odds, the finding."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace

from assistant.bay import SAID, Bay, after, known
from assistant.english.lists import sentence
from assistant.facts import (
    CautionAcknowledged,
    CautionSpoken,
    CodeLogged,
    Fact,
    FactKind,
    FindingReached,
    GateAsked,
    GatePassed,
    ItemLeftOff,
    ItemRefitted,
    ItemRemoved,
    ItemSettled,
    NoteTaken,
    PlanChanged,
    Said,
    StepSkipped,
    TestLeftOut,
    VehicleNoted,
    WordsKept,
)
from assistant.language.code_meanings import meaning_of
from assistant.language.model import TYPED
from assistant.procedure.model import Procedure, Signal
from assistant.reasoning.standing import Standing, standing_of
from assistant.record.model import (
    Acknowledged,
    Found,
    Hearing,
    Mark,
    Odds,
    OpenItem,
    Saying,
    StandingCondition,
    Vehicle,
)
from assistant.record.personal import OWNER_KEYS, REMOVED
from assistant.record.repaired import confirmed, failed, findings, odds_before
from assistant.record.summary import SHOP_KEY
from assistant.record.vin import check_vin, tidy_vin
from assistant.record.walk import Walk
from assistant.record.wording import plain_words

MILEAGE_KEYS = ("mileage", "odometer")
TECHNICIAN = "technician"


def worked(walk: Walk) -> tuple[str | None, str | None]:
    """The technician and the shop, as far as they were noted when the job began."""
    told = _told(walk)
    return told.get(TECHNICIAN), told.get(SHOP_KEY)


def _told(walk: Walk) -> dict[str, str]:
    """What was noted and not struck; of what was told twice, the later holds."""
    told: dict[str, str] = {}
    for fact in walk.of(FactKind.VEHICLE_NOTED):
        if fact.id not in walk.struck_by:
            told.update(_noted(fact))
    return told


def told_vehicle(walk: Walk, limit_ids: frozenset[str]) -> tuple[Vehicle, dict[str, str]]:
    """The vehicle, and apart from it what belongs to a person."""
    told = {key: words for key, words in _told(walk).items() if key not in (TECHNICIAN, SHOP_KEY)}
    vin = told.pop("vin", None)
    mileage = next((told.pop(key) for key in MILEAGE_KEYS if key in told), None)
    personal = {key: told.pop(key) for key in sorted(told) if key.lower() in OWNER_KEYS}
    limits = {key: told.pop(key) for key in sorted(told) if key in limit_ids}
    if vin is not None and vin != REMOVED:
        vin = tidy_vin(vin)
    return (
        Vehicle(
            make=told.pop("make", None),
            model=told.pop("model", None),
            year=told.pop("year", None),
            facts=told,
            limits=limits,
            vin=vin,
            vin_check=None if vin is None or vin == REMOVED else check_vin(vin).value,
            mileage=mileage,
        ),
        personal,
    )


def complaint(walk: Walk) -> tuple[Saying, ...]:
    """What the technician was asked to tell, in order."""
    return tuple(_saying(walk, fact) for fact in walk.of(FactKind.WORDS_KEPT))


def skipped(walk: Walk) -> tuple[Saying, ...]:
    """Skipped steps with the reason given, and those that could not be done."""
    facts = sorted((*walk.of(FactKind.STEP_SKIPPED), *walk.of(FactKind.TEST_LEFT_OUT)), key=lambda fact: fact.number)
    return tuple(replace(_saying(walk, fact), words=_why_skipped(fact), about="skipped") for fact in facts)


def _why_skipped(fact: Fact) -> str:
    said = fact.legible
    reason = said.reason if isinstance(said, StepSkipped) else said.words if isinstance(said, TestLeftOut) else ""
    return reason or "no reason given"


def notes(walk: Walk) -> tuple[Saying, ...]:
    """Notes, in order."""
    return tuple(_saying(walk, fact) for fact in walk.of(FactKind.NOTE_TAKEN))


def codes(walk: Walk) -> tuple[Saying, ...]:
    """Fault codes, in order."""
    return tuple(
        Saying(mark=walk.mark(fact), words=code, hearing=walk.hearing(fact), meaning=meaning_of(code))
        for fact in walk.of(FactKind.CODE_LOGGED)
        for code in (fact.shows(CodeLogged).code,)
    )


def cautions(walk: Walk) -> tuple[Acknowledged, ...]:
    """Every time a caution was spoken, with its acknowledgement where there was one."""
    found: list[Acknowledged] = []
    for fact in walk.of(FactKind.CAUTION_SPOKEN):
        shown = fact.shows(CautionSpoken)
        caution_id = shown.caution
        written = walk.caution(fact, caution_id)
        signal = shown.signal or (written.signal.value if written else Signal.CAUTION.value)
        spoken = shown.spoken.removeprefix(sentence(signal)).strip()
        said = spoken or (f"{written.hazard} {written.avoid} {written.consequence}" if written else "")
        found.append(
            _acknowledged(
                walk,
                fact,
                caution_id,
                signal=signal,
                said=said or plain_words(caution_id),
                pair=(CautionAcknowledged, CautionSpoken),
            )
        )
    return tuple(found)


def gates(walk: Walk) -> tuple[Acknowledged, ...]:
    """Every time a gate was asked, with its answer where there was one."""
    found: list[Acknowledged] = []
    for fact in walk.of(FactKind.GATE_ASKED):
        shown = fact.shows(GateAsked)
        written = walk.gate(fact, shown.gate)
        said = shown.spoken or (written.say if written else plain_words(shown.gate))
        found.append(_acknowledged(walk, fact, shown.gate, signal=None, said=said, pair=(GatePassed, GateAsked)))
    return tuple(found)


def open_items(walk: Walk) -> tuple[OpenItem, ...]:
    """What was taken off and is not back, in the order it came off."""
    found: dict[str, OpenItem] = {}
    for fact in walk.of(FactKind.ITEM_REMOVED, FactKind.ITEM_REFITTED, FactKind.ITEM_LEFT_OFF):
        if fact.id in walk.struck_by:
            continue
        said = fact.legible
        if isinstance(said, ItemRefitted):
            found.pop(said.item, None)
        elif isinstance(said, ItemRemoved | ItemSettled) and said.item:
            unsure = isinstance(said, ItemRemoved) and said.unsure
            state = "left-off" if isinstance(said, ItemLeftOff) else "unsure" if unsure else "removed"
            found[said.item] = OpenItem(mark=walk.mark(fact), item=said.item, state=state)
    return tuple(found.values())


def standing_conditions(walk: Walk) -> tuple[StandingCondition, ...]:
    """What is so of car and bay after the last fact, as far as somebody or something has said it."""
    bay = Bay()
    for fact in walk.facts:
        with suppress(LookupError, ValueError, TypeError, AttributeError):  # a fact of another make changes nothing
            bay = after(bay, fact)
    return tuple(
        StandingCondition(condition=str(mark.condition), words=SAID[mark.condition], since_s=mark.at_s)
        for mark in known(bay)
    )


def odds(walk: Walk) -> tuple[Odds, ...]:
    """The odds of each fault whenever a fact carries them."""
    found: list[Odds] = []
    for fact in walk.facts:
        values = {name: one for name, one in (fact.legible.odds or {}).items() if 0.0 <= one <= 1.0}
        if values:
            found.append(Odds(mark=walk.mark(fact), faults=values))
    return tuple(found)


def finding(walk: Walk, names: Mapping[str, str]) -> Found | None:
    """The last finding, unless it was struck, gone back from or left for another test; as sure as the last odds make it
    before its repair was checked. What the check of a repair found is told with the repair. `names`: what
    the faults are called."""
    reached, _ = findings(walk)
    last = reached[-1].number if reached else 0
    led = (fact for fact in walk.of(FactKind.PLAN_CHANGED) if fact.shows(PlanChanged).to)
    left = (*walk.of(FactKind.WENT_BACK), *led)
    if not reached or any(each.number > last for each in left):
        return None
    fact = reached[-1]
    repaired = next((one.number for one in walk.of(FactKind.REPAIR_DONE) if one.number > last), len(walk.facts) + 1)
    step = walk.step(fact)
    written = step.finding if step else None
    told = fact.shows(FindingReached)
    fault = told.fault or (written.fault if written else None)
    later = (one.legible for one in reversed(walk.facts[last : repaired - 1]))
    judged = next((one for one in later if one.standing is not None), told)
    shown = told.proved or (written.proved if written else ())
    standing = _standing(judged, fault)
    title = told.say or (step.say if step else "") or plain_words(fault or "no fault named")
    return Found(
        mark=walk.mark(fact),
        fault=fault,
        title=title,
        proved=shown if standing == Standing.PROVED else (),
        likely=told.likely or (written.likely if written else ()),
        untested=told.untested or (written.untested if written else ()),
        next_step=told.advice or (written.advice if written else ""),
        customer=told.customer or (written.customer if written else ""),
        by_odds=judged.by_odds or "",
        repair=confirmed(walk),
        failed=failed(walk, names),
        standing=standing,
        by_test=shown,
        likely_fault=odds_before(walk.facts[: repaired - 1], fault or ""),
    )


def _standing(judged: Said, fault: str | None) -> str:
    """How sure the finding is by the fact that was judged last; records made before that was kept go by their odds."""
    if judged.standing is not None:
        return judged.standing
    found = standing_of(judged.odds or {}, fault)
    # The odds name the group that such a fault belongs to, so the sentence of that time is all that tells of it.
    unlike = found is Standing.BY_TEST and judged.by_odds is not None
    return (Standing.NOT_PROVED if unlike else found).value


def sources(procedures: Mapping[str, Procedure], used: frozenset[str]) -> tuple[str, ...]:
    """The sources that the procedures of the job name, each once."""
    listed = [source.text for name, one in procedures.items() if name in used for source in one.sources]
    return tuple(dict.fromkeys(listed))


def _noted(fact: Fact) -> dict[str, str]:
    said = fact.shows(VehicleNoted)
    return {said.fact: str(said.value)} if said.fact and said.value else {}


def _saying(walk: Walk, fact: Fact) -> Saying:
    said, (hearing, proofed) = fact.legible, _dictation(walk, fact)
    return Saying(
        mark=walk.mark(fact),
        words=said.words if isinstance(said, WordsKept | NoteTaken) else "",
        hearing=hearing,
        about=walk.label(fact) or None,
        proofed=proofed,
        cut=isinstance(said, WordsKept | NoteTaken | StepSkipped) and said.cut,
    )


def _dictation(walk: Walk, fact: Fact) -> tuple[Hearing, bool]:
    """How free words were heard, and whether somebody has read them.

    Records made before that was kept hold a confidence of 1.0 that nobody measured: it is left out.
    """
    hearing, said = walk.hearing(fact), fact.legible
    proofed = said.proofed if isinstance(said, WordsKept | NoteTaken | StepSkipped) else None
    if proofed is not None:
        return hearing, proofed
    if hearing.engine in (None, TYPED) or hearing.by != "technician":
        return hearing, True
    return (replace(hearing, confidence=None) if hearing.confidence == 1.0 else hearing), False


def _acknowledged(
    walk: Walk, fact: Fact, wanted: str, *, signal: str | None, said: str, pair: tuple[type[Said], type[Said]]
) -> Acknowledged:
    """`pair`: the class that passes it, and that which asks it again."""
    answer: Mark | None = None
    answered_with: str | None = None
    for later in walk.facts[fact.number :]:
        shown = later.legible
        if not isinstance(shown, pair) or _asked(shown) != wanted:
            continue
        if isinstance(shown, CautionAcknowledged | GatePassed):
            answer, answered_with = walk.mark(later), shown.words or None
        break
    return Acknowledged(
        mark=walk.mark(fact),
        id=wanted,
        signal=signal,
        text=said,
        acknowledged_at_s=answer.at_s if answer else None,
        acknowledged_utc=answer.utc if answer else None,
        words=answered_with,
    )


def _asked(said: Said) -> str:
    """The id of the caution or gate that a fact is about."""
    match said:
        case CautionSpoken() | CautionAcknowledged():
            return said.caution
        case GateAsked() | GatePassed():
            return said.gate
        case _:
            return ""

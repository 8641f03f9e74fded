"""What was told beside results: the vehicle, the complaint, notes, codes, cautions, open items, odds, the finding."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from typing import Any

from assistant.bay import SAID, Bay, after, known
from assistant.facts import Fact, FactKind
from assistant.language.code_meanings import meaning_of
from assistant.language.model import TYPED
from assistant.language.speak import sentence
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
from assistant.record.read_fact import flag, mapping, number, plain_words, text, words
from assistant.record.repaired import confirmed, failed, findings, odds_before
from assistant.record.summary import SHOP_KEY
from assistant.record.vin import check_vin, tidy_vin
from assistant.record.walk import Walk

MILEAGE_KEYS = ("mileage", "odometer")
TECHNICIAN = "technician"


def worked(walk: Walk) -> tuple[str | None, str | None]:
    """The technician and the shop, as far as they were noted when the job began."""
    told = _told(walk)
    first = walk.facts[0].data
    return told.get(TECHNICIAN) or text(first, TECHNICIAN), told.get(SHOP_KEY) or text(first, SHOP_KEY)


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
    return text(fact.data, "reason") or text(fact.data, "words") or "no reason given"


def notes(walk: Walk) -> tuple[Saying, ...]:
    """Notes, in order."""
    return tuple(_saying(walk, fact) for fact in walk.of(FactKind.NOTE_TAKEN))


def codes(walk: Walk) -> tuple[Saying, ...]:
    """Fault codes, in order."""
    return tuple(
        Saying(mark=walk.mark(fact), words=code, hearing=walk.hearing(fact), meaning=meaning_of(code))
        for fact in walk.of(FactKind.CODE_LOGGED)
        for code in (text(fact.data, "code") or "",)
    )


def cautions(walk: Walk) -> tuple[Acknowledged, ...]:
    """Every time a caution was spoken, with its acknowledgement where there was one."""
    found: list[Acknowledged] = []
    for fact in walk.of(FactKind.CAUTION_SPOKEN):
        caution_id = text(fact.data, "caution") or ""
        written = walk.caution(fact, caution_id)
        signal = text(fact.data, "signal") or (written.signal.value if written else Signal.CAUTION.value)
        spoken = (text(fact.data, "spoken") or "").removeprefix(sentence(signal)).strip()
        said = spoken or (f"{written.hazard} {written.avoid} {written.consequence}" if written else "")
        found.append(
            _acknowledged(
                walk,
                fact,
                caution_id,
                signal=signal,
                said=said or plain_words(caution_id),
                pair=(FactKind.CAUTION_ACKNOWLEDGED, FactKind.CAUTION_SPOKEN, "caution"),
            )
        )
    return tuple(found)


def gates(walk: Walk) -> tuple[Acknowledged, ...]:
    """Every time a gate was asked, with its answer where there was one."""
    found: list[Acknowledged] = []
    for fact in walk.of(FactKind.GATE_ASKED):
        gate_id = text(fact.data, "gate") or ""
        written = walk.gate(fact, gate_id)
        said = text(fact.data, "spoken") or (written.say if written else plain_words(gate_id))
        pair = (FactKind.GATE_PASSED, FactKind.GATE_ASKED, "gate")
        found.append(_acknowledged(walk, fact, gate_id, signal=None, said=said, pair=pair))
    return tuple(found)


def open_items(walk: Walk) -> tuple[OpenItem, ...]:
    """What was taken off and is not back, in the order it came off."""
    found: dict[str, OpenItem] = {}
    for fact in walk.of(FactKind.ITEM_REMOVED, FactKind.ITEM_REFITTED, FactKind.ITEM_LEFT_OFF):
        if fact.id in walk.struck_by:
            continue
        for item in words(fact.data, "item"):
            if fact.kind is FactKind.ITEM_REFITTED:
                found.pop(item, None)
            else:
                state = "left-off" if fact.kind is FactKind.ITEM_LEFT_OFF else "removed"
                state = "unsure" if flag(fact.data, "unsure") else state
                found[item] = OpenItem(mark=walk.mark(fact), item=item, state=state)
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
        told = mapping(fact.data, "odds")
        values = {str(name): one for name in told if (one := number(told, name)) is not None and 0.0 <= one <= 1.0}
        if values:
            found.append(Odds(mark=walk.mark(fact), faults=values))
    return tuple(found)


def finding(walk: Walk, names: Mapping[str, str]) -> Found | None:
    """The last finding, unless it was struck, gone back from or left for another test; as sure as the last odds make it
    before its repair was checked. What the check of a repair found is told with the repair. `names`: what
    the faults are called."""
    reached, _ = findings(walk)
    last = reached[-1].number if reached else 0
    left = (*walk.of(FactKind.WENT_BACK), *(fact for fact in walk.of(FactKind.PLAN_CHANGED) if fact.data.get("to")))
    if not reached or any(each.number > last for each in left):
        return None
    fact = reached[-1]
    repaired = next((one.number for one in walk.of(FactKind.REPAIR_DONE) if one.number > last), len(walk.facts) + 1)
    step = walk.step(fact)
    written = step.finding if step else None
    told = fact.data
    fault = text(told, "fault") or (written.fault if written else None)
    judged = next((one.data for one in reversed(walk.facts[last : repaired - 1]) if "standing" in one.data), told)
    shown = words(told, "proved") or (written.proved if written else ())
    standing = _standing(judged, fault)
    title = text(told, "say") or (step.say if step else "") or plain_words(fault or "no fault named")
    return Found(
        mark=walk.mark(fact),
        fault=fault,
        title=title,
        proved=shown if standing == Standing.PROVED else (),
        likely=words(told, "likely") or (written.likely if written else ()),
        untested=words(told, "untested") or (written.untested if written else ()),
        next_step=text(told, "advice") or (written.advice if written else ""),
        customer=text(told, "customer") or (written.customer if written else ""),
        by_odds=text(judged, "by_odds") or "",
        repair=confirmed(walk),
        failed=failed(walk, names),
        standing=standing,
        by_test=shown,
        likely_fault=odds_before(walk.facts[: repaired - 1], fault or ""),
    )


def _standing(judged: Mapping[str, Any], fault: str | None) -> str:
    """How sure the finding is by the fact that was judged last; records made before that was kept go by their odds."""
    told = text(judged, "standing")
    if told is not None:
        return told
    kept = mapping(judged, "odds")
    odds = {str(name): one for name in kept if (one := number(kept, name)) is not None}
    found = standing_of(odds, fault)
    # The odds name the group that such a fault belongs to, so the sentence of that time is all that tells of it.
    unlike = found is Standing.BY_TEST and text(judged, "by_odds") is not None
    return (Standing.NOT_PROVED if unlike else found).value


def sources(procedures: Mapping[str, Procedure], used: frozenset[str]) -> tuple[str, ...]:
    """The sources that the procedures of the job name, each once."""
    listed = [source.text for name, one in procedures.items() if name in used for source in one.sources]
    return tuple(dict.fromkeys(listed))


def _noted(fact: Fact) -> dict[str, str]:
    name, value = text(fact.data, "fact"), text(fact.data, "value")
    return {name: value} if name is not None and value is not None else {}


def _saying(walk: Walk, fact: Fact) -> Saying:
    hearing, proofed = _dictation(walk, fact)
    return Saying(
        mark=walk.mark(fact),
        words=text(fact.data, "words") or "",
        hearing=hearing,
        about=walk.label(fact) or None,
        proofed=proofed,
        cut=flag(fact.data, "cut") or False,
    )


def _dictation(walk: Walk, fact: Fact) -> tuple[Hearing, bool]:
    """How free words were heard, and whether somebody has read them.

    Records made before that was kept hold a confidence of 1.0 that nobody measured: it is left out.
    """
    hearing, proofed = walk.hearing(fact), flag(fact.data, "proofed")
    if proofed is not None:
        return hearing, proofed
    if hearing.engine in (None, TYPED) or hearing.by != "technician":
        return hearing, True
    return (replace(hearing, confidence=None) if hearing.confidence == 1.0 else hearing), False


def _acknowledged(
    walk: Walk, fact: Fact, wanted: str, *, signal: str | None, said: str, pair: tuple[FactKind, FactKind, str]
) -> Acknowledged:
    passed, again, key = pair
    answer: Mark | None = None
    answered_with: str | None = None
    for later in walk.facts[fact.number :]:
        if (text(later.data, key) or "") != wanted or later.kind not in (passed, again):
            continue
        if later.kind is passed:
            answer, answered_with = walk.mark(later), text(later.data, "words")
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

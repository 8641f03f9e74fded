"""What a report must not say at once. Each rule takes a report and tells every contradiction that it finds."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from assistant.language.speak import say_amount
from assistant.reasoning.model import NONE_OF_THESE, Model
from assistant.reasoning.standing import LEAST_PROVED
from assistant.record.model import JobRecord
from assistant.record.page import Page
from assistant.record.wording import amount

NEVER_PROVED = re.compile(r"\b(not|nothing is|no fault is) proved\b", re.IGNORECASE)
PROVED = re.compile(r"\bproved\b", re.IGNORECASE)
CLAIM = re.compile(r"\b(\w+ (?:is|are|was|were|has|have)) (not |no )?(\w+)", re.IGNORECASE)
TOO_EXACT = re.compile(r"\d+\.\d{2,} kPa")
"""No gauge shows hundredths of a kilopascal: such a number was made by converting."""
VERY_UNLIKELY = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """One job in all its forms. `talk`: every sentence spoken; `texts`: whole documents by name, as plain text."""

    record: JobRecord
    page: Page
    talk: tuple[str, ...]
    texts: dict[str, str]
    model: Model | None

    @property
    def box(self) -> str:
        """All that stands in the box of the finding."""
        parts = (f"{name}: {words}" for name, words in self.page.finding_parts)
        return ". ".join((self.page.headline, *parts, self.page.customer))

    @property
    def told(self) -> str:
        """All that is spoken when the finding is reached."""
        first = next((n for n, said in enumerate(self.talk) if said.startswith("The finding")), len(self.talk))
        return " ".join(self.talk[first:])


def both_proved_and_not(report: Report) -> Iterator[str]:
    """No box, invoice or spoken finding says proved and not proved; proved only where the odds reach the line."""
    for name, words in (("box", report.box), ("invoice", report.texts["invoice"]), ("spoken", report.told)):
        without = NEVER_PROVED.sub("", words)
        if NEVER_PROVED.search(words) and PROVED.search(without):
            yield f"{name}: proved and not proved: {words}"
        if PROVED.search(without) and not _reaches_the_line(report):
            yield f"{name}: proved below the line: {words}"


def likely_beside_likelier(report: Report) -> Iterator[str]:
    """Where another fault is likelier nothing calls this one likely, and what is likelier is no more unlikely."""
    for name, words in (("box", report.box), ("invoice", report.texts["invoice"]), ("spoken", report.told)):
        if "another fault is likelier" in words and re.search(r"most likely|the likely fault", words, re.IGNORECASE):
            yield f"{name}: likely beside likelier: {words}"


def standing_against_odds(report: Report) -> Iterator[str]:
    """The word for the finding is the one that its last odds give, and a fault that is out is never sure."""
    found, fault = report.record.finding, _modelled(report)
    odds = report.record.odds[-1].faults if report.record.odds else {}
    if found is None or fault is None:
        return
    if fault not in odds:
        yield f"the finding names {fault}, which the odds have excluded"
        return
    top = max(odds, key=lambda name: odds[name])
    if (found.standing == "outweighed") != (odds[top] > odds[fault] and odds[fault] < LEAST_PROVED):
        yield f"{found.standing}, but {fault} has {odds[fault]} and {top} {odds[top]}"
    if found.standing in ("by-test", "open"):
        yield f"{found.standing}, but the odds of {fault} are {odds[fault]}"
    if odds[fault] < VERY_UNLIKELY and found.standing != "outweighed":
        yield f"{fault} is very unlikely, and the finding is {found.standing}"


def is_and_is_not(report: Report) -> Iterator[str]:
    """No box and no sentence says that something is so and that it is not."""
    rows = (". ".join(row.cells) for table in report.page.tables for row in table.rows)
    for words in (report.box, report.texts["invoice"], *rows, *report.talk):
        claims = {(one[0].lower(), one[2].lower(), bool(one[1])) for one in CLAIM.findall(words)}
        for subject, what, denied in claims:
            if denied and (subject, what, False) in claims:
                yield f"{subject} {what} and not: {words}"


def two_verdicts_on_compression(report: Report) -> Iterator[str]:
    """Evenness and level are named, each with its own verdict, and these are those of the readings."""
    spread, table = report.record.compression, report.page.table("readings")
    if spread is None:
        return
    note = table.note if table else ""
    evenness = "passes" if spread.evenness.passes else "fails"
    level = "fails" if any(one.low for one in spread.cylinders) else "passes"
    if f"Evenness {evenness}" not in note or f"Level {level}" not in note:
        yield f"evenness {evenness}, level {level}, but: {note}"
    if len(re.findall(r"\b(?:passes|fails)\b", note)) != 2:
        yield f"a verdict without its test: {note}"
    low = {one.fact for one in spread.cylinders if one.low}
    for one in report.record.readings:
        if one.mark.fact in {each.fact for each in spread.cylinders} and (one.judgement == "low") != (
            one.mark.fact in low
        ):
            yield f"{one.name} is {one.judgement} and the cylinder is {'' if one.mark.fact in low else 'not '}low"


def other_numbers(report: Report) -> Iterator[str]:
    """What was read is printed as it was read back, in the meter's own unit, in every document."""
    spoken = " ".join(report.talk)
    for one in report.record.readings:
        said, printed = say_amount(one.value, one.unit), amount(one.value, one.unit)
        if said not in spoken:
            yield f"{one.name}: printed {printed}, spoken otherwise"
        for name in ("html", "invoice"):
            if printed not in report.texts[name]:
                yield f"{one.name}: {printed} is not in {name}"
    for name, words in report.texts.items():
        if name != "json":
            yield from (f"{name}: {found}" for found in TOO_EXACT.findall(words))


def untested_but_tested(report: Report) -> Iterator[str]:
    """Nothing counts as not tested that the same report holds a result of."""
    record, found = report.record, report.record.finding
    steps = {f"{one.mark.procedure}/{one.mark.step}" for one in record.results if one.mark.struck_by is None}
    tested = {
        "compression": record.compression is not None,
        "spark": any(step.startswith("spark-check-") and step.endswith("crank") for step in steps),
        "pressure": any(one.quantity == "pressure" and one.mark.struck_by is None for one in record.readings),
        "battery under load": any(step.startswith("battery-load-test/") for step in steps),
    }
    for line in found.untested if found else ():
        for part in re.split(r",| and ", line.lower().rstrip(".")):
            if tested.get(part.strip()):
                yield f"{part.strip()} is told as not tested, and was"


def spoken_otherwise(report: Report) -> Iterator[str]:
    """The finding is printed as sure as it was spoken, with the same odds, and the invoice is no surer."""
    found = report.record.finding
    if found is None:
        return
    doubt = report.page.headline.removesuffix(found.title).rstrip(". ")
    if not report.told.startswith(f"The finding, {doubt.lower()}." if doubt else "The finding. "):
        yield f"spoken {report.told[:80]!r}, printed {report.page.headline!r}"
    if found.by_odds and found.by_odds not in report.told:
        yield f"printed odds {found.by_odds!r}, spoken {report.told!r}"
    if doubt and doubt not in report.texts["invoice"]:
        yield f"the invoice says nothing of {doubt!r}"


RULES: tuple[Callable[[Report], Iterator[str]], ...] = (
    both_proved_and_not,
    likely_beside_likelier,
    standing_against_odds,
    is_and_is_not,
    two_verdicts_on_compression,
    other_numbers,
    untested_but_tested,
    spoken_otherwise,
)


def _reaches_the_line(report: Report) -> bool:
    odds = report.record.odds[-1].faults if report.record.odds else {}
    return odds.get(_modelled(report) or "", 0.0) >= LEAST_PROVED


def _modelled(report: Report) -> str | None:
    """The model's name for the fault that the finding names; None where it reckons no odds of it."""
    found = report.record.finding
    fault = report.model.meant_by(found.fault or "") if found is not None and report.model is not None else None
    return None if fault == NONE_OF_THESE else fault

"""What the record says of the thing that somebody asks about: "what did I say for the battery?"."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assistant.english.lists import sentence
from assistant.procedure.model import Procedure
from assistant.record.model import JobRecord, Result
from assistant.record.page import UNSAID
from assistant.record.spoken import amount_of
from assistant.record.wording import plain_words

MOST_TOLD = 3
"""So many entries are told: the ear keeps no more. Judgement."""


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_GENERAL = _words(
    """a about again all an and any are as at back be been before by can check checked come could did do done earlier
    every everything far first for found from gave get give given go got had has have here how i i'd i've in is it its
    job just know last left let me mine my no now of on one or our out over please put record read reading readings
    said say see so step take tell test tested tests than that the them then there these they thing this those till to
    told up was we we've went were what what'd what's what've when where which with you your car engine figure figures
    number numbers measure measured measurement result results vehicle"""
)
"""Words of such a question that name nothing."""

_SORTS = {
    "reading": "reading", "readings": "reading", "measure": "reading", "measured": "reading", "measurement": "reading",
    "figure": "reading", "figures": "reading", "number": "reading", "numbers": "reading", "note": "note",
    "notes": "note", "code": "code", "codes": "code", "complaint": "complaint", "customer": "complaint",
}  # fmt: skip
"""Words that name a sort of what is kept."""

_UNITS = {
    "volt": "voltage", "ohm": "resistance", "amp": "current", "bar": "pressure", "psi": "pressure", "kpa": "pressure",
    "temp": "temperature",
}  # fmt: skip
"""What a unit is of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """One thing that stands in the record. `named`: stems of what names it."""

    at_s: float
    sort: str
    text: str
    named: frozenset[str]


def told_of(record: JobRecord, words: str, procedures: Mapping[str, Procedure]) -> tuple[str, ...] | None:
    """Sentences of the entries that plain words ask about, the latest of each; none where nothing is kept of it. None
    where they ask about nothing in particular."""
    entries = list(_entries(record, procedures))
    sort = next((_SORTS[word] for word in words.split() if word in _SORTS), "")
    asked = _topics(words) & (_known(procedures) | {stem for each in entries for stem in each.named})
    if not asked and not sort:
        return None
    fitting = [each for each in entries if sort in ("", each.sort)]
    most = max((len(asked & each.named) for each in fitting), default=0)
    if asked and not most:
        return ()
    found = [each for each in fitting if len(asked & each.named) == most]
    many = 1 if "last" in words.split() else MOST_TOLD
    return tuple(sentence(each.text) for each in sorted(found, key=lambda each: each.at_s)[-many:])


def _entries(record: JobRecord, procedures: Mapping[str, Procedure]) -> Iterator[_Entry]:
    readings = {one.name: one for one in record.readings if one.mark.struck_by is None}  # the latest of each name
    for one in readings.values():
        judged = f", {plain_words(one.judgement)}" if one.judgement else ""
        text, named = f"{one.name}: {amount_of(one)}{judged}", _topics(f"{one.name} {one.quantity}")
        yield _Entry(at_s=one.mark.at_s, sort="reading", text=text, named=named)
    standing = [one for one in record.results if one.mark.struck_by is None and one.hearing.by not in UNSAID]
    for result in {_place(one): one for one in standing}.values():
        title = procedures[part].title if (part := result.mark.procedure or "") in procedures else ""
        named = _topics(f"{result.mark.label} {plain_words(result.mark.step or '')} {title} {result.label}")
        asked = result.mark.label or result.question
        text = f"{asked}{'' if asked.endswith('?') else ':'} {result.label}"
        yield _Entry(at_s=result.mark.at_s, sort="result", text=text, named=named)
    for sort, sayings in (("note", record.notes), ("code", record.codes), ("complaint", record.complaint)):
        for saying in (one for one in sayings if one.mark.struck_by is None):
            spoken = " ".join(saying.words) if sort == "code" else saying.words
            text = f"{sort}: {spoken}"
            yield _Entry(at_s=saying.mark.at_s, sort=sort, text=text, named=_topics(saying.words))


def _place(result: Result) -> str:
    return f"{result.mark.procedure}/{result.mark.step}/{result.question}"


def _known(procedures: Mapping[str, Procedure]) -> frozenset[str]:
    """What a test, a reading or a question may be called: what else is said names nothing."""
    steps = ((each.title, step) for each in procedures.values() for step in each.steps)
    names = (f"{title} {step.name or ''} {plain_words(step.id)}" for title, step in steps)
    return frozenset(stem for name in names for stem in _topics(name))


def _topics(text: str) -> frozenset[str]:
    words = (word.strip(".,?!").removesuffix("'s") for word in text.lower().split())
    return frozenset(_UNITS.get(_stem(word), _stem(word)) for word in words if word and word not in _GENERAL)


def _stem(word: str) -> str:
    ending = next((end for end in ("ing", "es", "s") if word.endswith(end) and len(word) > len(end) + 2), "")
    return word.removesuffix(ending)

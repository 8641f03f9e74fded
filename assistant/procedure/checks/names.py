"""Ids stand for one thing each, and everything that is named exists."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence

from assistant.procedure.checks.book import Book, Page, at
from assistant.procedure.flow import steps_by_id, ways_of
from assistant.procedure.model import Band, Caution, Gate, Kind, Limit, Result, Source, Spot, Step
from assistant.procedure.vehicle import TOLD_IN_PASSING


def check_names(page: Page, book: Book) -> None:
    """Ids used twice, names that stand for nothing, cautions and gates that no step uses."""
    procedure = page.procedure
    _once(page, "source", procedure.sources)
    _once(page, "limit", procedure.limits)
    _once(page, "caution", procedure.cautions)
    _once(page, "gate", procedure.gates)
    _once(page, "step", procedure.steps)
    for number, outcome in enumerate(procedure.outcomes):
        if outcome in procedure.outcomes[:number]:
            page.file_fault(f"outcomes.{number}", _twice("outcome", outcome))
    sources = [source.id for source in procedure.sources]
    for limit in procedure.limits:
        if limit.source and limit.source not in sources:
            spot = at(limit.spots, "source", limit.spot)
            page.part_fault("limit", limit.id, spot, _missing("source", limit.source, sources))
    if procedure.duty.source and procedure.duty.source not in sources:
        page.file_fault("duty.source", _missing("source", procedure.duty.source, sources))
    steps = steps_by_id(procedure)
    if procedure.begin and steps and procedure.begin not in steps:
        page.file_fault("begin", _missing("step", procedure.begin, steps))
    for step in procedure.steps:
        _check_step(page, book, step, list(steps))
    _check_led(page, book, steps)
    _check_used(page, "caution", procedure.cautions, {name for step in procedure.steps for name in step.cautions})
    _check_used(page, "gate", procedure.gates, {name for step in procedure.steps for name in step.gates})


def _check_led(page: Page, book: Book, steps: Mapping[str, Step]) -> None:
    """What a plan leads by: steps of the file, two of them findings that it alone enters, and a procedure."""
    led = page.procedure.led
    if led is None:
        return
    for key, names in (("after", (led.after,)), ("only", led.only), ("runs", (led.runs,))):
        for name in names:
            if name and name not in steps:
                page.file_fault(f"led.{key}", _missing("step", name, steps))
    for key, name in (("repair", led.repair), ("search", led.search)):
        if name and (name not in led.only or name not in steps or steps[name].kind is not Kind.FINDING):
            page.file_fault(
                f"led.{key}",
                f"found '{name}' for '{key}'; expected a step of kind finding among 'only'; do name one",
            )
    if led.recheck and led.recheck not in book.procedures:
        page.file_fault("led.recheck", _missing("procedure", led.recheck, book.procedures))
    for each in led.beside:
        if each.procedure and each.procedure not in book.procedures:
            page.file_fault("led.beside", _missing("procedure", each.procedure, book.procedures))
        if each.told and each.told not in TOLD_IN_PASSING:
            page.file_fault("led.beside", _missing("telling", each.told, TOLD_IN_PASSING))


def _check_step(page: Page, book: Book, step: Step, steps: Sequence[str]) -> None:
    procedure = page.procedure
    known = {
        "cautions": [caution.id for caution in procedure.cautions],
        "gates": [gate.id for gate in procedure.gates],
    }
    for key, names in (("cautions", step.cautions), ("gates", step.gates)):
        noun = key.removesuffix("s")
        for number, name in enumerate(names):
            if name in names[:number]:
                page.step_fault(step, f"{key}.{number}", _twice(noun, name))
            elif name not in known[key]:
                page.step_fault(step, f"{key}.{number}", _missing(noun, name, known[key]))
    for way in ways_of(step):
        if way.goes and way.goes not in steps:
            page.faults.add(way.spot, _missing("step", way.goes, steps), step=step.id)
    _check_answers(page, step, "result", step.results)
    _check_answers(page, step, "band", step.bands)
    first = [one.id for one in procedure.steps if one.quantity is not None and one.unit == step.unit]
    for number, name in enumerate(step.falls_from):
        if name not in first:
            page.step_fault(step, f"falls_from.{number}", _missing("reading in the same unit", name, first))
    if step.calls and step.calls not in book.procedures:
        page.step_fault(step, "calls", _missing("procedure", step.calls, book.procedures))


def _check_answers(page: Page, step: Step, noun: str, parts: Sequence[Result | Band]) -> None:
    ids = [part.id for part in parts]
    limits = [limit.id for limit in page.procedure.limits]
    for number, part in enumerate(parts):
        if part.id and part.id in ids[:number]:
            page.faults.add(at(part.spots, "id", part.spot), _twice(noun, part.id), step=step.id)
        ends = {"at_least": part.at_least, "below": part.below} if isinstance(part, Band) else {}
        for key, limit in ends.items():
            if limit is not None and limit not in limits:
                page.faults.add(at(part.spots, key, part.spot), _missing("limit", limit, limits), step=step.id)


def _once(page: Page, noun: str, parts: Sequence[Source | Limit | Caution | Gate | Step]) -> None:
    first: dict[str, Spot] = {}
    for part in parts:
        if not part.id:
            continue
        if part.id in first:
            page.part_fault(
                noun,
                part.id,
                part.spot,
                f"found a second {noun} '{part.id}', first in line {first[part.id].line}; expected each id once; "
                "do rename one of them",
            )
        first.setdefault(part.id, part.spot)


def _check_used(page: Page, noun: str, parts: Sequence[Caution | Gate], used: set[str]) -> None:
    if not page.procedure.steps or used - {part.id for part in parts}:
        return  # a name that stands for nothing was told, and is likely the one that is missed here
    for part in parts:
        if part.id and part.id not in used:
            page.part_fault(
                noun,
                part.id,
                part.spot,
                f"found a {noun} that no step names; expected it in the '{noun}s' of a step; do attach or delete it",
            )


def _missing(noun: str, name: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    hint = f"do write '{near[0]}'" if near else f"do write that {noun} or name another"
    return f"found no {noun} '{name}'; expected the id of a {noun}; {hint}"


def _twice(noun: str, name: str) -> str:
    return f"found the {noun} '{name}' twice; expected each once; do delete one of them"

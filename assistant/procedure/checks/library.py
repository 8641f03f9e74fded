"""The checks of a whole library: procedures call each other, so they are checked together."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from assistant.procedure.checks.answers import check_answers, check_unseen
from assistant.procedure.checks.book import Book, Page
from assistant.procedure.checks.cautions import check_cautions
from assistant.procedure.checks.left_off import check_left_off
from assistant.procedure.checks.may_run import check_may_run
from assistant.procedure.checks.names import check_names
from assistant.procedure.checks.numbers import check_numbers
from assistant.procedure.checks.one_thing import check_one_thing
from assistant.procedure.checks.phrases import check_phrases
from assistant.procedure.checks.short_forms import check_short_forms
from assistant.procedure.checks.states import check_said, check_states
from assistant.procedure.checks.vapour import check_vapour
from assistant.procedure.checks.vehicle import check_vehicle
from assistant.procedure.checks.ways import check_calls, check_ways
from assistant.procedure.checks.words import check_words
from assistant.procedure.fault import Fault, Faults, by_place
from assistant.procedure.model import Procedure
from assistant.procedure.reader import read_procedure


def check_library(
    procedures: Mapping[str, Procedure],
    command_phrases: Collection[str],
    *,
    broken: frozenset[str] = frozenset(),
    only: Collection[str] | None = None,
    by_ear: bool = True,
    beside_answers: Collection[str] | None = None,
) -> list[Fault]:
    """Every fault of procedures that were read without one, by place.

    `procedures`: id → procedure, all that may be called among them. `command_phrases`: legal at any moment.
    `broken`: ids whose flow could not be read in full; what leads where is not checked in them.
    `beside_answers`: those of them that are legal while a question is asked; None for all.
    `only`: ids whose faults are asked for; the others still count as what may call and be called.
    `by_ear` False leaves out the pronouncing dictionary, which takes about a second to read.
    """
    book = Book(procedures=procedures, broken=broken)
    pages = {procedure.id: Page(procedure) for procedure in procedures.values()}
    wanted = [page for id_, page in pages.items() if only is None or id_ in only]
    for page in wanted:
        check_names(page, book)
        check_numbers(page)
        check_cautions(page)
        check_may_run(page)
        check_one_thing(page)
        check_words(page)
        check_short_forms(page)
        check_vehicle(page)
        check_left_off(page, book)
        check_phrases(page, command_phrases, by_ear=by_ear)
        check_answers(page, command_phrases if beside_answers is None else beside_answers, by_ear=by_ear)
        check_unseen(page)
        check_said(page)
        check_calls(page, book)
        if page.procedure.id not in broken:
            check_ways(page, book)
    check_vapour(pages, book)
    check_states(pages, book)
    return sorted((fault for page in wanted for fault in page.faults.in_order()), key=by_place)


def check_texts(
    texts: Mapping[str, str],
    command_phrases: Collection[str],
    *,
    beside: Mapping[str, str] | None = None,
    by_ear: bool = True,
    beside_answers: Collection[str] | None = None,
) -> list[Fault]:
    """Every fault of procedure files, given as path → text, by place.

    `beside`: further files that may be called; their own faults are not told.
    """
    faults: list[Fault] = []
    procedures: dict[str, Procedure] = {}
    broken: set[str] = set()
    for path, text in {**texts, **(beside or {})}.items():
        loaded = read_procedure(path, text)
        faults += loaded.faults
        procedure = loaded.procedure
        if procedure is None or not procedure.id:
            continue
        if procedure.id in procedures and path in texts:
            faults += _second(path, procedure, procedures[procedure.id])
            continue
        procedures.setdefault(procedure.id, procedure)
        if not loaded.whole:
            broken.add(procedure.id)
    only = [procedure.id for procedure in procedures.values() if procedure.path in texts]
    faults += check_library(
        procedures, command_phrases, broken=frozenset(broken), only=only, by_ear=by_ear, beside_answers=beside_answers
    )
    return sorted({fault for fault in faults if fault.path in texts}, key=by_place)


def _second(path: str, procedure: Procedure, first: Procedure) -> tuple[Fault, ...]:
    faults = Faults(path)
    faults.add(
        procedure.spots["id"],
        f"found the id '{procedure.id}', which '{first.path}' has too; expected each id once; do rename one of them",
    )
    return faults.in_order()

"""What a step takes off, unplugs or adds is put right again in a step of the same job."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.procedure.checks.book import Book, Page
from assistant.procedure.flow import calls_of
from assistant.procedure.model import Procedure


def check_left_off(page: Page, book: Book) -> None:
    """Things removed that no step refits, and things refitted that no step removed.

    The steps looked at are those of all procedures that calls link to this one: the refit may be the caller's, or in
    another procedure that the caller calls.
    """
    steps = [step for procedure in _linked(page.procedure, book) for step in procedure.steps]
    removed = {item for step in steps for item in step.removes}
    refitted = {item for step in steps for item in step.refits}
    for step in page.procedure.steps:
        for key, items, others, message in (
            ("removes", step.removes, refitted, "that no step refits; expected 'refits' with the same words"),
            ("refits", step.refits, removed, "that no step removes; expected 'removes' with the same words"),
        ):
            for number, item in enumerate(items):
                if item not in others:
                    page.step_fault(
                        step, f"{key}.{number}", f"found '{item}' {message} in some step; do write it in that step"
                    )
                elif item in items[:number]:
                    page.step_fault(
                        step, f"{key}.{number}", f"found '{item}' twice; expected each once; do delete one of them"
                    )


def _linked(procedure: Procedure, book: Book) -> Iterator[Procedure]:
    links: dict[str, set[str]] = {}
    for one in book.procedures.values():
        for _, calls in calls_of(one):
            links.setdefault(one.id, set()).add(calls)
            links.setdefault(calls, set()).add(one.id)
    seen = {procedure.id}
    due = [procedure.id]
    yield procedure
    while due:
        new = links.get(due.pop(), set()) - seen
        seen |= new
        due += new
        yield from (book.procedures[one] for one in new if one in book.procedures)

"""What a step takes off, unplugs or adds is put right again somewhere in the library."""

from __future__ import annotations

from assistant.procedure.checks.book import Book, Page


def check_left_off(page: Page, book: Book) -> None:
    """Things removed that no step refits, and things refitted that no step removed."""
    steps = [step for procedure in book.procedures.values() for step in procedure.steps]
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

"""Every step can be reached, and from every step the job can end."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.procedure.checks.book import Book, Page
from assistant.procedure.flow import calls_of, leads_to, reachable, steps_by_id, ways_of
from assistant.procedure.model import Kind, Procedure, Step


def check_ways(page: Page, book: Book) -> None:
    """Steps that nothing leads to, steps from which no end can be reached, rounds without a word."""
    procedure = page.procedure
    if procedure.begin not in steps_by_id(procedure):
        return
    reached = reachable(procedure)
    for step in procedure.steps:
        if step.id not in reached:
            page.step_fault(
                step,
                "id",
                f"found no way from '{procedure.begin}' to this step; expected every step in reach; "
                "do lead to it or delete it",
            )
    ends = leads_to(procedure, (step.id for step in procedure.steps if _ends(step, book)))
    known = steps_by_id(procedure)
    for step in procedure.steps:
        targets_known = all(way.goes in known for way in ways_of(step))
        if step.id in reached and step.id not in ends and targets_known:
            page.step_fault(step, "id", _endless(step))
    _check_silent_rounds(page)


def check_calls(page: Page, book: Book) -> None:
    """Outcomes that do not match between caller and called, returns that nobody declared, calls that go in a round."""
    procedure = page.procedure
    for step in procedure.steps:
        if step.kind is Kind.RETURN and step.outcome and step.outcome not in procedure.outcomes:
            page.step_fault(
                step,
                "outcome",
                f"found the outcome '{step.outcome}'; expected an outcome of this file ({_list(procedure.outcomes)}); "
                "do declare it under 'outcomes'",
            )
    returned = {step.outcome for step in procedure.steps if step.kind is Kind.RETURN}
    for number, outcome in enumerate(procedure.outcomes):
        if outcome not in returned and procedure.id not in book.broken:
            page.file_fault(
                f"outcomes.{number}",
                f"found the outcome '{outcome}' that no step returns; expected a step of kind return for each; "
                "do write it or delete the outcome",
            )
    for step, calls in calls_of(procedure):
        called = book.procedures.get(calls)
        if called is not None:
            _check_call(page, step, called)
            if calls == procedure.id or _calls(book.procedures, called, procedure.id):
                page.step_fault(
                    step,
                    "calls",
                    f"found a call that comes round to '{procedure.id}' again; expected calls that end; "
                    "do lead to a step instead",
                )


def _check_call(page: Page, step: Step, called: Procedure) -> None:
    answered = {result.id for result in step.results}
    for outcome in called.outcomes:
        if outcome not in answered:
            page.step_fault(
                step,
                "results",
                f"found no result '{outcome}', which '{called.id}' can return; expected a result for each outcome "
                f"({_list(called.outcomes)}); do add it",
            )
    for result in step.results:
        if result.id and result.id not in called.outcomes:
            page.faults.add(
                result.spots.get("id", result.spot),
                f"found the result '{result.id}', which '{called.id}' never returns; expected one of its outcomes "
                f"({_list(called.outcomes)}); do delete or rename it",
                step=step.id,
            )


def _ends(step: Step, book: Book) -> bool:
    if step.kind is Kind.CALL:
        called = book.procedures.get(step.calls or "")
        return called is None or any(inner.kind is Kind.FINDING for inner in _with_called(called, book))
    return step.kind in (Kind.FINDING, Kind.RETURN)


def _with_called(procedure: Procedure, book: Book) -> tuple[Step, ...]:
    """The steps of a procedure and of all that it calls."""
    seen: dict[str, Procedure] = {}
    due = [procedure]
    while due:
        one = due.pop()
        if one.id not in seen:
            seen[one.id] = one
            due += [book.procedures[calls] for _, calls in calls_of(one) if calls in book.procedures]
    return tuple(step for one in seen.values() for step in one.steps)


def _calls(procedures: Mapping[str, Procedure], start: Procedure, wanted: str) -> bool:
    seen: set[str] = set()
    due = [start]
    while due:
        one = due.pop()
        if one.id in seen:
            continue
        seen.add(one.id)
        called = [calls for _, calls in calls_of(one)]
        if wanted in called:
            return True
        due += [procedures[calls] for calls in called if calls in procedures]
    return False


def _endless(step: Step) -> str:
    if any(way.goes == step.id for way in ways_of(step)) and len({way.goes for way in ways_of(step)}) == 1:
        return "found a step that only leads to itself; expected a way on; do name the step that follows"
    return (
        "found no way from this step to a finding or a return; expected every path to end; "
        "do lead one of its ways to an end"
    )


def _check_silent_rounds(page: Page) -> None:
    """A round of choosing steps alone would never speak and never end."""
    silent = {step.id: step for step in page.procedure.steps if step.kind is Kind.CHOOSE}
    for step in silent.values():
        seen: set[str] = set()
        due = [way.goes for way in ways_of(step)]
        while due:
            step_id = due.pop()
            if step_id in silent and step_id not in seen:
                seen.add(step_id)
                due += [way.goes for way in ways_of(silent[step_id])]
        if step.id in seen:
            page.step_fault(
                step,
                "id",
                "found a round of choosing steps without a word; expected a step that speaks in every round; "
                "do lead on to such a step",
            )
            return


def _list(names: tuple[str, ...]) -> str:
    return ", ".join(names) if names else "none"

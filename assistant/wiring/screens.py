"""The page beside the terminal, and the shop's records as it shows them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.errors import HoodsideError
from assistant.facts import Fact
from assistant.ports import Aids, Screen, Taps, View
from assistant.procedure.model import Procedure
from assistant.record.summary import JobQuery, Summary
from assistant.wiring.library import procedures_at_hand, procedures_for
from assistant.wiring.records import holds_records, look_into_journal

if TYPE_CHECKING:
    from assistant.adapters.screen_web import Flow, JobLine, PhoneWish

MOST_JOBS = 100
_Got = TypeVar("_Got")


class Page(Screen, Taps, Aids, Protocol):
    """A page that is served."""

    address: str

    def wait(self) -> None:
        """Until interrupted."""


class _Beside:
    """Two screens that show the same."""

    def __init__(self, first: Screen, second: Screen) -> None:
        self._first = first
        self._second = second

    def show(self, view: View) -> None:
        """Draw the view on both."""
        self._first.show(view)
        self._second.show(view)

    def close(self) -> None:
        """Give both back."""
        self._first.close()
        self._second.close()


def beside(screen: Screen, page: Page | None) -> Screen:
    """The screen, and the page beside it where there is one."""
    return screen if page is None else _Beside(screen, page)


def open_page(data: Path | None, port: int | None, *, leads: bool = True, phone: PhoneWish | None = None) -> Page:
    """The page, served from now on; `leads`: whether a job is led; `phone`: that may come.

    Raises SetupError when a port is taken.
    """
    from assistant.adapters.screen_web import WebScreen  # a server is loaded only where one is wanted

    return WebScreen(_Records(data), port=port, leads=leads, phone=phone)


class _Records:
    """The records in the data folder; each question looks anew."""

    def __init__(self, data: Path | None) -> None:
        self._data = data
        self._drawn: dict[str, str] = {}

    def jobs(self) -> Sequence[JobLine]:
        """The latest jobs, newest first."""
        found = self._look(lambda journal: journal.search(JobQuery(most=MOST_JOBS)))
        return [_line(one) for one in found or ()]

    def report(self, job: str) -> str | None:
        """The job's report as HTML; None for an unknown job."""
        from assistant.wiring.documents import document, pictures_in, record_of  # loaded for pages alone

        def made(journal: SqliteJournal) -> str | None:
            if not journal.entries(job):
                return None
            return document(record_of(journal, job), "html", pictures=pictures_in(self._data)).decode()

        return self._look(made)

    def where(self, job: str) -> tuple[str, str] | None:
        """Procedure and step where the job stands; None for an unknown job."""
        facts = self._look(lambda journal: journal.facts(job))
        return _place(facts) if facts else None

    def flow(self, job: str, procedure: str, step: str) -> Flow | None:
        """The flow of that procedure, as the job was begun with it; None for an unknown one."""
        from assistant.adapters.screen_web import Flow
        from assistant.procedure.drawing import draw

        known = self._procedure(job, procedure)
        if known is None:
            return None
        digest = known.digest or procedure
        if digest not in self._drawn:
            self._drawn[digest] = draw(known)
        return Flow(title=known.title, svg=self._drawn[digest], procedure=procedure, step=step)

    def _procedure(self, job: str, name: str) -> Procedure | None:
        """As it was kept with the job; the shipped one where that job kept none, or there is no such job."""

        def of_job(journal: SqliteJournal) -> Mapping[str, Procedure]:
            entries = journal.entries(job)
            return procedures_for(entries, journal.text, [name]) if entries else {}

        try:
            kept = self._look(of_job) if job else None
            return (kept or procedures_at_hand([name])).get(name)
        except HoodsideError:
            return None

    def _look(self, question: Callable[[SqliteJournal], _Got]) -> _Got | None:
        if not holds_records(self._data):
            return None
        journal = look_into_journal(self._data)
        try:
            return question(journal)
        finally:
            journal.close()


def _place(facts: Sequence[Fact]) -> tuple[str, str]:
    """Where the latest fact happened that happened at a step."""
    last = next((fact for fact in reversed(facts) if fact.step), facts[-1])
    return (str(last.procedure), str(last.step))


def _local(when: datetime) -> datetime:
    return when.astimezone()


def _line(one: Summary) -> JobLine:
    from assistant.adapters.screen_web import JobLine
    from assistant.record.wording import day_and_time

    return JobLine(
        job=one.job,
        began=day_and_time(one.started_utc, _local),
        state="ended" if one.ended else "open",
        about=one.vehicle.replace("=", " "),
        finding=one.finding or "no finding",
    )

"""The journal in memory: for tests, rehearsal of rules, and whoever needs no disk."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from assistant.facts import Fact
from assistant.record.admission import admit
from assistant.record.chain import Entry, Head, facts_of, head_of


class MemoryJournal:
    """Keeps facts as long as it lives. `recorded_utc`: the time of day, ISO 8601, asked once for each append."""

    def __init__(self, recorded_utc: Callable[[], str]) -> None:
        self._recorded_utc = recorded_utc
        self._jobs: dict[str, list[Entry]] = {}
        self._by_id: dict[str, Entry] = {}

    def append(self, facts: Sequence[Fact]) -> None:
        """See ports.Journal."""
        for entry in admit(facts, kept=self._by_id.get, head=self._head, recorded_utc=self._recorded_utc()):
            self._jobs.setdefault(entry.job, []).append(entry)
            self._by_id[entry.id] = entry

    def facts(self, job: str) -> tuple[Fact, ...]:
        """See ports.Journal."""
        return facts_of(self.entries(job))

    def jobs(self) -> tuple[str, ...]:
        """See ports.Journal."""
        return tuple(self._jobs)

    def claim(self, job: str) -> None:
        """Nothing to do: nobody else can write here."""

    def entries(self, job: str) -> tuple[Entry, ...]:
        """The job's chain as kept, in order."""
        return tuple(self._jobs.get(job, ()))

    def close(self) -> None:
        """Nothing to free."""

    def _head(self, job: str) -> Head:
        return head_of(self._jobs.get(job, ()))

"""The journal in memory: for tests, rehearsal of rules, and whoever needs no disk."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import replace

from assistant.facts import Fact
from assistant.record.admission import admit, take_over
from assistant.record.chain import Entry, Head, facts_of, head_of
from assistant.record.personal import Belonging, Removal, without_values
from assistant.record.summary import JobQuery, Summary, matches, summarise


class MemoryJournal:
    """Keeps facts as long as it lives. `recorded_utc`: the time of day, ISO 8601, asked once for each append."""

    def __init__(self, recorded_utc: Callable[[], str]) -> None:
        self._recorded_utc = recorded_utc
        self._jobs: dict[str, list[Entry]] = {}
        self._by_id: dict[str, Entry] = {}

    def append(self, facts: Sequence[Fact]) -> None:
        """See ports.Journal."""
        self._add(admit(facts, kept=self._by_id.get, head=self._head, recorded_utc=self._recorded_utc()))

    def facts(self, job: str) -> tuple[Fact, ...]:
        """See ports.Journal."""
        return facts_of(self.entries(job))

    def jobs(self) -> tuple[str, ...]:
        """See ports.Journal."""
        return tuple(self._jobs)

    def claim(self, job: str) -> None:
        """Nothing to do: nobody else can write here."""

    def entries(self, job: str) -> tuple[Entry, ...]:
        """See ports.Archive."""
        return tuple(self._jobs.get(job, ()))

    def take(self, entries: Sequence[Entry]) -> int:
        """See ports.Archive."""
        if not entries:
            return 0
        new = take_over(entries, self.entries(entries[0].job), kept=self._by_id.get)
        self._add(new)
        return len(new)

    def search(self, query: JobQuery) -> tuple[Summary, ...]:
        """See ports.Archive."""
        found = [line for job in reversed(self._jobs) if (line := self._answer(job, query)) is not None]
        return tuple(found[: query.most])

    def remove_personal(self, job: str, belongs: Sequence[Belonging]) -> Removal:
        """See ports.Archive."""
        removed = 0
        for index, entry in enumerate(self._jobs.get(job, ())):
            left = without_values(entry.apart, frozenset(belongs), self._recorded_utc())
            removed += sum(before is not after for before, after in zip(entry.apart, left, strict=True))
            self._jobs[job][index] = self._by_id[entry.id] = replace(entry, apart=left)
        return Removal(values=removed)

    def close(self) -> None:
        """Nothing to free."""

    def _add(self, entries: Sequence[Entry]) -> None:
        for entry in entries:
            self._jobs.setdefault(entry.job, []).append(entry)
            self._by_id[entry.id] = entry

    def _answer(self, job: str, query: JobQuery) -> Summary | None:
        summary = Summary(job=job)
        for entry in self._jobs[job]:
            summary = summarise(summary, entry.fact(), entry.recorded_utc)
        owners = tuple(
            str(json.loads(one.value))
            for entry in self._jobs[job]
            for one in entry.apart
            if one.belongs is Belonging.OWNER and one.value
        )
        return summary if matches(summary, query, owners) else None

    def _head(self, job: str) -> Head:
        return head_of(self._jobs.get(job, ()))

"""The journal in memory: for tests, rehearsal of rules, and whoever needs no disk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from assistant.facts import Fact, key_of
from assistant.record.admission import admit, take_over
from assistant.record.chain import Entry, Head, facts_of, head_of
from assistant.record.personal import Belonging, Removal, without_values
from assistant.record.summary import JobQuery, Summary, matches, said_of, summarise


class MemoryJournal:
    """Keeps facts as long as it lives. `recorded_utc`: the time of day, ISO 8601, asked once for each append."""

    def __init__(self, recorded_utc: Callable[[], str]) -> None:
        self._recorded_utc = recorded_utc
        self._jobs: dict[str, list[Entry]] = {}
        self._labels: dict[str, str] = {}  # of each key
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
        return tuple(self._jobs.get(job, ()) or self._jobs.get(self._labels.get(job, ""), ()))

    def take(self, entries: Sequence[Entry], *, label: str | None = None) -> int:
        """See ports.Archive."""
        if not entries:
            return 0
        here = self._labels.get(key_of(entries[0].id, 1), label or entries[0].job)
        new = take_over(entries, self.entries(here), kept=self._by_id.get)
        self._add(new, here)
        return len(new)

    def search(self, query: JobQuery) -> tuple[Summary, ...]:
        """See ports.Archive."""
        found = [line for job in reversed(self._jobs) if (line := self._answer(job, query)) is not None]
        return tuple(sorted(found, key=lambda line: line.started_utc, reverse=True)[: query.most])

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

    def _add(self, entries: Sequence[Entry], label: str | None = None) -> None:
        for entry in entries:
            key = key_of(entry.id, entry.number)
            here = self._labels.setdefault(key, label or entry.job) if entry.number == 1 else self._here(key, entry.job)
            self._jobs.setdefault(here, []).append(entry)
            self._by_id[entry.id] = entry

    def _here(self, key: str, job: str) -> str:
        """What the job of a fact is called here: by its key, else by its name."""
        return self._labels.get(key, job)

    def _answer(self, job: str, query: JobQuery) -> Summary | None:
        summary = Summary(job=job)
        for entry in self._jobs[job]:
            summary = summarise(summary, entry.fact(), entry.recorded_utc)
        said = tuple(told for entry in self._jobs[job] for told in said_of(entry))
        return summary if matches(summary, query, said) else None

    def _head(self, key: str, job: str) -> Head:
        return head_of(self._jobs.get(self._here(key, job), ()))

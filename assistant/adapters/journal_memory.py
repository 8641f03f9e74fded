"""The journal in memory: for tests, rehearsal of rules, and whoever needs no disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from secrets import token_hex

from assistant.facts import Fact, FactKind, key_of
from assistant.record.admission import admit, take_over
from assistant.record.chain import Entry, Head, facts_of, head_of, to_remove
from assistant.record.log import (
    Leaf,
    LeafKind,
    Logged,
    LogHead,
    Moment,
    Signer,
    absent_of,
    head_leaf,
    key_leaf,
    removed_leaf,
    store_leaf,
    taken_leaf,
)
from assistant.record.merkle import grown, leaf_hash, root_of
from assistant.record.personal import Belonging, Removal, without_values
from assistant.record.summary import JobQuery, Summary, matches, said_of, summarise


class MemoryJournal:
    """Keeps facts as long as it lives. `recorded_utc`: the time of day, ISO 8601, asked once for each append."""

    def __init__(
        self,
        recorded_utc: Callable[[], str],
        *,
        signer: Signer | None = None,
        moment: Callable[[], Moment | None] = lambda: None,
    ) -> None:
        """`signer`, `moment`: as in SqliteJournal."""
        self._recorded_utc = recorded_utc
        self._signer = signer
        self._moment = moment
        self._texts: dict[str, str] = {}
        self._log: list[tuple[Leaf, tuple[bytes, ...], Moment | None]] = []
        self._peaks: tuple[bytes, ...] = ()
        self._log_head = LogHead(store=token_hex(16))
        self._add_leaves([store_leaf(self._log_head.store)])
        self._jobs: dict[str, list[Entry]] = {}
        self._labels: dict[str, str] = {}  # of each key
        self._by_id: dict[str, Entry] = {}

    def append(self, facts: Sequence[Fact]) -> None:
        """See ports.Journal."""
        new = admit(facts, kept=self._by_id.get, head=self._head, recorded_utc=self._recorded_utc())
        self._add(new)
        last, moment = {self._here(key_of(one.id, one.number), one.job): one for one in new}, self._moment()
        for here, entry in last.items():
            self._add_leaves([head_leaf(entry, moment)], here, moment)

    def facts(self, job: str) -> tuple[Fact, ...]:
        """See ports.Journal."""
        return facts_of(self.entries(job))

    def jobs(self) -> tuple[str, ...]:
        """See ports.Journal."""
        return tuple(self._jobs)

    def claim(self, job: str) -> None:
        """Nothing to do: nobody else can write here."""

    def entries(self, job: str, *, since: int = 0) -> tuple[Entry, ...]:
        """See ports.Archive."""
        return tuple(self._jobs.get(job, ()) or self._jobs.get(self._labels.get(job, ""), ()))[since:]

    def take(self, entries: Sequence[Entry], *, label: str | None = None, key: bytes = b"") -> int:
        """See ports.Archive."""
        if not entries:
            return 0
        here = self._labels.get(key_of(entries[0].id, 1), label or entries[0].job)
        new = take_over(entries, self.entries(here), kept=self._by_id.get)
        self._add(new, here)
        if new:
            self._add_leaves([taken_leaf(new[-1], absent_of(new), key, self._recorded_utc())], here)
        return len(new)

    def search(self, query: JobQuery) -> tuple[Summary, ...]:
        """See ports.Archive."""
        found = [line for job in reversed(self._jobs) if (line := self._answer(job, query)) is not None]
        return tuple(sorted(found, key=lambda line: line.started_utc, reverse=True)[: query.most])

    def remove_personal(self, job: str, belongs: Sequence[Belonging]) -> Removal:
        """See ports.Archive."""
        key = self._signer.key if self._signer else b""
        return self.follow_removal(job, to_remove(self.entries(job), belongs), key=key, utc=self._recorded_utc())

    def follow_removal(self, job: str, places: Sequence[tuple[int, str]], *, key: bytes, utc: str) -> Removal:
        """See ports.Archive."""
        removed, kept = 0, self.entries(job)
        here = self._here(key_of(kept[0].id, 1), job) if kept else job
        for index, entry in enumerate(self._jobs.get(here, ())):
            wanted = frozenset(place for number, place in places if number == entry.number)
            left = without_values(entry.apart, wanted, utc)
            removed += sum(one.value is not None and one.place in wanted for one in entry.apart)
            self._jobs[here][index] = self._by_id[entry.id] = replace(entry, apart=left)
        if places and kept:
            self._add_leaves([removed_leaf(kept[0].job, kept[-1].number, places, key, utc)], here)
        return Removal(values=removed)

    def keep_texts(self, texts: Mapping[str, str]) -> None:
        """See ports.Archive."""
        self._texts = {**texts, **self._texts}

    def text(self, digest: str) -> str | None:
        """See ports.Archive."""
        return self._texts.get(digest)

    def log_head(self) -> LogHead:
        """See ports.Archive."""
        return self._log_head

    def logged(self, job: str | None = None) -> Iterator[Logged]:
        """See ports.Archive."""
        here = job if job is None or job in self._jobs else self._labels.get(job, job)
        for place, (leaf, nodes, moment) in enumerate(self._log):
            if job is None or leaf.job == here:
                yield Logged(
                    place=place,
                    kind=leaf.kind.value,
                    job=leaf.job or None,
                    number=leaf.number,
                    text=leaf.text(),
                    hash=nodes[0],
                    moment=moment,
                )

    def changes(self, since: int = 0, *, most: int | None = None) -> Iterator[Logged]:
        """See ports.Archive."""
        yield from list(self.logged())[since:][:most]

    def node(self, level: int, index: int) -> bytes:
        """See ports.Archive."""
        return self._log[((index + 1) << level) - 1][1][level]

    def rows_of_nodes(self) -> Iterator[tuple[int, tuple[bytes, ...]]]:
        """See ports.Archive."""
        yield from ((place, nodes) for place, (_, nodes, _) in enumerate(self._log))

    def key_leaves(self) -> tuple[Logged, ...]:
        """See ports.Archive."""
        return tuple(one for one in self.logged() if one.kind == LeafKind.KEY)

    def moment(self, job: str) -> Moment | None:
        """See ports.Archive."""
        lengthened = [one for one in self.logged(job) if one.kind != LeafKind.REMOVED]
        return lengthened[-1].moment if lengthened else None

    def repairs(self) -> tuple[Fact, ...]:
        """See ports.Archive."""
        facts = (fact for job in self._jobs for fact in self.facts(job))
        return tuple(fact for fact in facts if fact.kind is FactKind.REPAIR_CONFIRMED)

    def damage(self) -> tuple[str, ...]:
        """Nothing: there is no file."""
        return ()

    def line_faults(self) -> tuple[str, ...]:
        """Nothing: lines are made when they are asked for."""
        return ()

    def close(self) -> None:
        """Nothing to free."""

    def _add(self, entries: Sequence[Entry], label: str | None = None) -> None:
        for entry in entries:
            key = key_of(entry.id, entry.number)
            here = self._labels.setdefault(key, label or entry.job) if entry.number == 1 else self._here(key, entry.job)
            self._jobs.setdefault(here, []).append(entry)
            self._by_id[entry.id] = entry

    def _add_leaves(self, leaves: Sequence[Leaf], here: str = "", moment: Moment | None = None) -> None:
        """`here`: what the job is called here that the leaves are about."""
        if not leaves:
            return
        signer, head = self._signer, self._log_head
        if signer is not None and head.key != signer.key:
            leaves = [*leaves, key_leaf(signer.key, head.key, b"")]
        for leaf in leaves:
            self._peaks, completed = grown(self._peaks, len(self._log), leaf_hash(leaf.text().encode()))
            about = replace(leaf, job=here if leaf.job else "")
            self._log.append((about, completed, moment if leaf.kind is LeafKind.HEAD else None))
        head = replace(
            head,
            size=len(self._log),
            root=root_of(self._peaks),
            utc=self._recorded_utc(),
            key=signer.key if signer else b"",
            signature=b"",
        )
        self._log_head = replace(head, signature=signer.sign(head.message())) if signer else head

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

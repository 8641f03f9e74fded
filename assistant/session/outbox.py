"""A bay's outbox: what its own log tells and the shop's server has not yet. The log is the outbox; nothing is copied.

Numbered rules
1. Our own log says in which order jobs were lengthened and values removed; `sent` is the place up to which that went.
   A place is passed only once the server has acknowledged it, or refused it for good, which is told and remembered.
2. A job goes whole in one transaction, from where the server's chain of it ends. So whatever is sent again after a cut
   is kept once, and a chain is never forked: the server refuses, and the facts stay here.
3. A server whose log is shorter than it was, or another one, was put back from a backup: everything is offered anew.
4. Removals travel both ways; one that cannot be followed now, because the job is being led, is followed later.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Protocol

from assistant.errors import RecordError, ShopRefused, ShopUnreachable
from assistant.facts import key_of
from assistant.ports import Archive
from assistant.record.chain import Entry
from assistant.record.log import LeafKind, Logged, LogHead
from assistant.record.outbox import Asked, OutboxState, Parcel
from assistant.record.summary import summary_from
from assistant.record.taught import taught_by
from assistant.record.texts import texts_of

LEAVES_AT_ONCE = 200
FACTS_AT_ONCE = 2_000
"""In one transaction, unless a single job has more. Judgement: a cut costs at most that."""
FIRST_WAIT_S, LONGEST_WAIT_S = 1.0, 60.0
"""After a try that failed, doubled each time. Judgement."""


class ShopServer(Protocol):
    """The shop's one record, as a bay's own account sees it: it adds, and reads next to nothing.

    Whatever is sent may be sent again: it is kept once. Raises ShopUnreachable (later), ShopRefused (never so).
    """

    def head(self) -> LogHead:
        """Where the server's log ends."""

    def deliver(self, parcels: Sequence[Parcel]) -> int:
        """Send what the server has not yet of these jobs, all or none; returns how many facts were new.

        Raises ShopRefused where the chain goes on otherwise there, or the job is another bay's.
        """

    def keep_texts(self, texts: Mapping[str, str]) -> None:
        """Send texts that led jobs, by their SHA-256."""

    def ask_to_remove(self, job: str, places: Sequence[tuple[int, str]], *, key: bytes, utc: str) -> None:
        """Have values of the job of that key removed for the whole shop: hidden at once, shredded by the owner."""

    def asked(self, since: int) -> Sequence[Asked]:
        """Removals that were asked for anywhere in the shop, from this place of its log on."""

    def close(self) -> None:
        """May be called twice."""


class OutboxKeeper(Protocol):
    """Where the state of a bay's outbox is kept."""

    def read(self) -> OutboxState:
        """What is known; the plain state where nothing is."""

    def keep(self, state: OutboxState) -> None:
        """Keep it, whole or not at all; what cannot be kept is only sent again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drained:
    """What one round did: facts that were new to the server, and whether more is waiting."""

    facts: int = 0
    more: bool = False


class Outbox:
    """Empties one bay's outbox, round by round. `archive`: to read from. `writing`: opens the same to follow removals.

    Nothing here waits or sleeps; `run` in wiring does.
    """

    def __init__(
        self,
        archive: Archive,
        server: ShopServer,
        kept: OutboxKeeper,
        utc_now: Callable[[], str],
        writing: Callable[[], Archive],
    ) -> None:
        self._archive = archive
        self._server = server
        self._kept = kept
        self._utc_now = utc_now
        self._writing = writing
        self._texts_sent: set[str] = set()

    def waiting(self) -> int:
        """How many leaves of our log are to be sent."""
        return max(0, self._archive.log_head().size - self._kept.read().sent)

    def round(self) -> Drained:
        """Send what is next. Raises ShopUnreachable, also remembered as trouble, when the server cannot be reached."""
        state = self._kept.read()
        try:
            state = self._known(state)
            leaves = tuple(self._archive.changes(state.sent, most=LEAVES_AT_ONCE))
            facts, state = self._send(leaves, state)
            state = self._follow(state)
        except ShopUnreachable as reason:
            self._kept.keep(replace(self._kept.read(), trouble=str(reason)))
            raise
        self._kept.keep(replace(state, last_utc=self._utc_now(), trouble=""))
        return Drained(facts=facts, more=len(leaves) == LEAVES_AT_ONCE)

    def offer_again(self) -> None:
        """Forget what was sent or refused: everything is offered once more, and kept once."""
        self._kept.keep(replace(self._kept.read(), sent=0, refused={}))

    def _known(self, state: OutboxState) -> OutboxState:
        head = self._server.head()
        if state.store != head.store or head.size < state.seen:
            state = replace(state, store=head.store, sent=0, asked=0, refused={})
        return replace(state, seen=head.size)

    def _send(self, leaves: Sequence[Logged], state: OutboxState) -> tuple[int, OutboxState]:
        """Jobs in the order of their first leaf, some at a time; then the removals among these leaves."""
        facts = 0
        jobs = dict.fromkeys(leaf.job for leaf in leaves if leaf.job is not None)
        refused = dict(state.refused)
        pile: list[Parcel] = []
        for job in jobs:
            entries = self._archive.entries(job)
            if entries:
                pile.append(_parcel(job, entries))
                self._send_texts(entries)
            if sum(len(one.entries) for one in pile) >= FACTS_AT_ONCE:
                facts += self._deliver(pile, refused)
                pile = []
        facts += self._deliver(pile, refused)
        for leaf in leaves:
            if leaf.kind == LeafKind.REMOVED and leaf.job is not None and leaf.holds:
                self._ask(leaf, leaf.job, refused)
        sent = leaves[-1].place + 1 if leaves else state.sent
        state = replace(state, sent=sent, refused=refused)
        self._kept.keep(state)
        return facts, state

    def _deliver(self, pile: Sequence[Parcel], refused: dict[str, str]) -> int:
        if not pile:
            return 0
        try:
            facts = self._server.deliver(pile)
        except ShopRefused as reason:
            if len(pile) > 1:
                return sum(self._deliver([one], refused) for one in pile)
            refused[pile[0].summary.job] = str(reason)
            return 0
        for one in pile:
            refused.pop(one.summary.job, None)
        return facts

    def _send_texts(self, entries: Iterable[Entry]) -> None:
        texts = texts_of(tuple(entries), self._archive.text)
        new = {digest: words for digest, words in texts.items() if digest not in self._texts_sent}
        if new:
            with suppress(ShopRefused):  # a text that is not true to its digest; verifying says so
                self._server.keep_texts(new)
            self._texts_sent |= new.keys()

    def _ask(self, leaf: Logged, job: str, refused: dict[str, str]) -> None:
        told = leaf.told()
        places = [(int(number), str(place)) for number, place in told["removed"]]
        entries = self._archive.entries(job)
        try:
            key = bytes.fromhex(str(told["key"]))
            self._server.ask_to_remove(key_of(entries[0].id, 1), places, key=key, utc=str(told["utc"]))
        except ShopRefused as reason:
            refused[job] = str(reason)

    def _follow(self, state: OutboxState) -> OutboxState:
        """Remove here what was removed elsewhere in the shop, as far as the jobs are kept here."""
        asked = [one for one in self._server.asked(state.asked) if one.place >= state.asked]
        here = [one for one in asked if self._archive.entries(one.job) and self._is_there(one.job, one.places)]
        if here:
            writing = self._writing()
            try:
                for one in here:
                    writing.follow_removal(one.job, one.places, key=one.key, utc=one.utc)
            except RecordError:  # the job is being led just now
                return state
            finally:
                writing.close()
        return replace(state, asked=asked[-1].place + 1) if asked else state

    def _is_there(self, job: str, places: Sequence[tuple[int, str]]) -> bool:
        wanted = frozenset(places)
        entries = self._archive.entries(job)
        apart = ((entry.number, one) for entry in entries for one in entry.apart)
        return any(one.value is not None and (number, one.place) in wanted for number, one in apart)


def longer(wait_s: float) -> float:
    """The next wait after one that did not help."""
    return min(max(wait_s * 2, FIRST_WAIT_S), LONGEST_WAIT_S)


def _parcel(job: str, entries: tuple[Entry, ...]) -> Parcel:
    return Parcel(entries=entries, summary=summary_from(entries, job), told=taught_by(entries))

"""What can be proved of a store, and what is wrong with it: one job by a few proofs, or all of it leaf by leaf.

Nothing here reads a clock, a key or a disk: the archive, and who checks a signature, are handed in.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from assistant.record.chain import UNREADABLE, Entry, faults
from assistant.record.log import LeafKind, Logged, LogHead, Moment, Signed, introduces
from assistant.record.merkle import consistency, extends, grown, includes, inclusion, root_of
from assistant.record.texts import text_faults

LENGTHENS = frozenset({LeafKind.HEAD, LeafKind.TAKEN, LeafKind.FOUND})
"""Leaves that say where a job's chain ended then."""

CLOCK_SLACK_S = 90.0
"""By so much the time of day and the machine's own clock may part from one fact to the next. Judgement."""


class Archived(Protocol):
    """What is asked of an archive here; see `ports.Archive`."""

    def entries(self, job: str) -> tuple[Entry, ...]: ...
    def jobs(self) -> tuple[str, ...]: ...
    def text(self, digest: str) -> str | None: ...
    def log_head(self) -> LogHead: ...
    def logged(self, job: str | None = None) -> Iterator[Logged]: ...
    def node(self, level: int, index: int) -> bytes: ...
    def rows_of_nodes(self) -> Iterator[tuple[int, tuple[bytes, ...]]]: ...
    def key_leaves(self) -> tuple[Logged, ...]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What is wrong, a sentence each, and what is only told: it may have an honest reason."""

    wrong: tuple[str, ...] = ()
    told: tuple[str, ...] = ()

    def __add__(self, other: Verdict) -> Verdict:
        return Verdict(wrong=(*self.wrong, *other.wrong), told=(*self.told, *other.told))


def verify_job(archive: Archived, job: str) -> Verdict:
    """One job: its chain, its texts, what was removed of it, and its place in the log. Reads nothing of other jobs.

    That the log holds no later leaf of the job is taken from the log's own index; `verify_log` proves it.
    """
    entries = archive.entries(job)
    if not entries:
        return Verdict(wrong=(f"every fact of job '{job}' is gone",))
    leaves = tuple(archive.logged(job))
    wrong = [*faults(entries), *_place_faults(job, entries, leaves), *_absent_faults(job, entries, leaves)]
    wrong += text_faults(entries, archive.text)
    if not wrong:
        wrong += _unproved(archive, job, leaves)
    return Verdict(wrong=tuple(wrong), told=tuple(_clock_changes(job, entries, leaves)))


def verify_head(archive: Archived, signed: Signed, *, trusted: Collection[bytes] = ()) -> Verdict:
    """The log's head, signed or not, and each key by the one before. `trusted`: keys that whoever checks knows."""
    head = archive.log_head()
    if not head.store:
        return Verdict(wrong=("the log of this store is gone",))
    wrong, told = [], []
    if head.key and not head.signature:
        wrong.append("the log was lengthened without a signature")
    elif head.key and not signed(head.key, head.message(), head.signature):
        wrong.append("the signature does not fit the log: it was changed by somebody without the key")
    known = b""
    for leaf in archive.key_leaves():
        try:
            told_of = leaf.told()
            key, before, signature = (bytes.fromhex(str(told_of[name])) for name in ("key", "before", "signature"))
        except UNREADABLE:
            wrong.append(f"entry {leaf.place} of the log, which names a key, cannot be read")
            continue
        if not leaf.holds or not _is_under(archive, head, leaf):
            wrong.append(f"entry {leaf.place} of the log, which names a key, was changed")
        introduced = not known or (before == known and signed(known, introduces(known, key), signature))
        if not introduced and key not in trusted:
            wrong.append(
                f"from entry {leaf.place} on the log is signed with the key {short(key)}, which the key before it, "
                f"{short(known)}, did not sign: that was lost, or somebody without it wrote on; if you know the new "
                f"one off a report of yours made since, say --key {short(key)}"
            )
        elif known:
            told.append(f"from entry {leaf.place} on the log is signed with {short(key)}, as {short(known)} signed")
        known = key
    if known != head.key:
        wrong.append("the key that signs the log is not the last one that the log names")
    return Verdict(wrong=tuple(wrong), told=tuple(told))


def verify_log(archive: Archived) -> Verdict:
    """The whole log leaf by leaf: every leaf and subtree is worked out anew and held against what is kept."""
    head, wrong = archive.log_head(), []
    peaks: tuple[bytes, ...] = ()
    size = gone = 0
    rows = zip(archive.logged(), archive.rows_of_nodes(), strict=True)
    for size, (leaf, (place, nodes)) in enumerate(rows, start=1):
        peaks, completed = grown(peaks, size - 1, leaf.hash)
        if place != size - 1 or completed != nodes:
            wrong.append(f"the log is broken at entry {size - 1}: something was taken out, put in or changed")
            break
        if leaf.job is None and leaf.kind not in (LeafKind.STORE, LeafKind.KEY):
            gone += 1
        elif leaf.text is not None and not leaf.holds:
            wrong.append(f"entry {place} of the log does not say what its place in the tree says")
    else:
        if (size, root_of(peaks)) != (head.size, head.root):
            wrong.append(f"the log has {size} entries and another root than its head says, which is for {head.size}")
    if gone:
        wrong.append(f"{gone} entries of the log speak of jobs that are gone from the store")
    return Verdict(wrong=tuple(wrong))


def verify_older(archive: Archived, older: LogHead, said_by: str) -> Verdict:
    """Whether the log goes on from where it ended once, by a head that was kept outside the store.

    `said_by`: who says so, as the beginning of a sentence.
    """
    head = archive.log_head()
    if not older.store or not older.size:
        return Verdict()
    if older.store != head.store:
        return Verdict(told=(f"{said_by} is of another store ({older.store[:8]}), so the logs cannot be compared",))
    if older.size > head.size:
        why = "its end was cut off, or an older copy of the store was put back"
        return Verdict(
            wrong=(f"{said_by} knows {older.size} entries of the log, and only {head.size} are there: {why}",)
        )
    try:
        follows = extends(
            older.size, older.root, head.size, head.root, consistency(archive.node, older.size, head.size)
        )
    except LookupError as reason:
        return Verdict(wrong=(str(reason.args[0]),))
    if follows:
        return Verdict()
    return Verdict(wrong=(f"the first {older.size} entries of the log are not those that {said_by} knows: made anew",))


def verify_remembered(archive: Archived, seen: Iterable[LogHead]) -> tuple[str, ...]:
    """What is wrong with the store in the light of where its log ended when it was written on this machine before.

    Of other stores that stood in its place only the last is told: it has no better reason than an older one.
    """
    store = archive.log_head().store
    own: list[LogHead] = []
    others: list[LogHead] = []
    for head in seen:
        (own if head.store == store else others).append(head)
    wrong: list[str] = []
    for head in [*sorted(others, key=lambda each: each.utc)[-1:], *own]:
        said_by = f"what this machine last wrote here, on {head.utc[:16].replace('T', ' at ')} UTC,"
        found = verify_older(archive, head, said_by)
        wrong += [*found.wrong, *found.told]
    return tuple(wrong)


def short(key: bytes) -> str:
    """A key as people compare it: the first 16 of its 64 digits."""
    return key.hex()[:16]


def removals_of(leaves: Iterable[Logged]) -> tuple[Mapping[str, Any], ...]:
    """What was removed of a job on request, in order, each with places, time and the key of who was asked."""
    found = []
    for leaf in leaves:
        if leaf.kind == LeafKind.REMOVED and leaf.holds:
            found.append({name: leaf.told()[name] for name in ("removed", "utc", "key")})
    return tuple(found)


def _place_faults(job: str, entries: Sequence[Entry], leaves: Sequence[Logged]) -> Iterator[str]:
    """The job's facts against what the log says of it."""
    logged = 0
    for leaf in leaves:
        if leaf.number > len(entries):
            yield f"the log knows fact {leaf.number} of job '{job}', only {len(entries)} are kept: the end was cut off"
            return
        if not leaf.holds:
            yield f"entry {leaf.place} of the log does not fit fact {leaf.number} of job '{job}': one was changed"
        elif leaf.kind in LENGTHENS:
            try:
                told = leaf.told()
                same = (told["id"], told["hash"]) == (entries[leaf.number - 1].id, entries[leaf.number - 1].hash.hex())
            except (*UNREADABLE, IndexError):
                same = False
            if not same:
                yield f"fact {leaf.number} of job '{job}' is not the one that the log knows: the chain was made anew"
            logged = max(logged, leaf.number)
    if logged < len(entries):
        yield f"facts {logged + 1} to {len(entries)} of job '{job}' are not in the log: hoodside did not keep them"


def _absent_faults(job: str, entries: Sequence[Entry], leaves: Sequence[Logged]) -> Iterator[str]:
    """Personal values that are gone must be known to the log as removed, or as never come along; and stay gone."""
    away: set[tuple[int, str]] = set()
    removed: set[tuple[int, str]] = set()
    for leaf in leaves:
        try:
            told = leaf.told() if leaf.holds else {}
            removed |= {(int(number), str(place)) for number, place in told.get("removed", ())}
            away |= {(int(number), str(place)) for number, place in told.get("absent", ())}
        except UNREADABLE:
            yield f"entry {leaf.place} of the log cannot be read"
    for entry in entries:
        for one in entry.apart:
            at = (entry.number, one.place)
            if one.value is None and at not in away | removed:
                yield (
                    f"fact {entry.number} of job '{job}': the personal value at {one.place} is gone, and the log knows "
                    "of no removal"
                )
            elif one.value is not None and at in removed:
                yield f"fact {entry.number} of job '{job}': the personal value at {one.place} was removed and is back"


def _unproved(archive: Archived, job: str, leaves: Sequence[Logged]) -> Iterator[str]:
    """The proofs that the last leaf of the job, and each that speaks of removals, are under the log's root."""
    head = archive.log_head()
    last = next((leaf for leaf in reversed(leaves) if leaf.kind in LENGTHENS), None)
    for leaf in leaves:
        if (leaf is last or leaf.kind != LeafKind.HEAD) and not _is_under(archive, head, leaf):
            yield f"entry {leaf.place} of the log, about job '{job}', is not under the root that the log has now"


def _is_under(archive: Archived, head: LogHead, leaf: Logged) -> bool:
    try:
        path = inclusion(archive.node, leaf.place, head.size)
    except (LookupError, ValueError):
        return False
    return includes(head.root, head.size, leaf.place, leaf.hash, path)


def _clock_changes(job: str, entries: Sequence[Entry], leaves: Sequence[Logged]) -> Iterator[str]:
    """Where the time of day went another way than the machine's own clock, which nobody can set."""
    before: tuple[Moment, datetime, int] | None = None
    for leaf in leaves:
        if leaf.moment is None or not 0 < leaf.number <= len(entries):
            continue
        try:
            utc = datetime.fromisoformat(entries[leaf.number - 1].recorded_utc)
        except ValueError:
            continue
        if before is not None and before[0].boot == leaf.moment.boot:
            went_s = (leaf.moment.ms - before[0].ms) / 1000
            said_s = (utc - before[1]).total_seconds()
            if abs(said_s - went_s) > CLOCK_SLACK_S:
                yield (
                    f"job '{job}': between facts {before[2]} and {leaf.number} the time of day moved by {said_s:.0f} s "
                    f"while {went_s:.0f} s passed: the clock was set"
                )
        before = (leaf.moment, utc, leaf.number)

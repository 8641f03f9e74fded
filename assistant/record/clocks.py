"""The clock that can be set against what cannot: the order of the log, and the day on which a document arrived."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from assistant.record.chain import Entry
from assistant.record.log import LeafKind, Logged, LogHead
from assistant.record.verify import CLOCK_SLACK_S, Verdict

MOST_TOLD = 5
"""So many places are named; more of them tell no more."""
LATE_S = 86_400.0
"""A document that arrives so much later than the last that it binds was made late, or by a wrong clock. Judgement."""

Timed = tuple[int, str, datetime]
"""Place in the log, job, and the time of day that the fact there says."""


def times_in(job: str, leaves: Iterable[Logged], entries: Sequence[Entry]) -> Iterator[Timed]:
    """The times of the facts that were appended here; what came from elsewhere has another machine's."""
    for leaf in leaves:
        if leaf.kind == LeafKind.HEAD and 0 < leaf.number <= len(entries):
            try:
                yield leaf.place, job, datetime.fromisoformat(entries[leaf.number - 1].recorded_utc)
            except ValueError:
                continue


def verify_order(times: Iterable[Timed]) -> Verdict:
    """Where the time of day went back from one append to the next, over all jobs: the log knows their order.

    A clock that was wrong for a whole job shows here as soon as a right one wrote before or after it.
    """
    told: list[str] = []
    latest: Timed | None = None
    for place, job, utc in sorted(times):
        if latest is not None and (back_s := (latest[2] - utc).total_seconds()) > CLOCK_SLACK_S:
            told.append(
                f"entry {place} of the log, of job '{job}', came after entry {latest[0]}, of job '{latest[1]}', and "
                f"its time of day is {back_s:.0f} s earlier: the clock was set, or was wrong"
            )
        latest = place, job, utc
    return Verdict(told=tuple(told[:MOST_TOLD]))


def verify_arrival(older: LogHead, arrived: datetime, times: Iterable[Timed]) -> Verdict:
    """The times of day of what a document binds against the moment at which it arrived elsewhere.

    `older`: where the log ended when the document was made.
    """
    bound = sorted(one for one in times if one[0] < older.size)
    wrong = [
        f"job '{job}' says that it was recorded on {_told(utc)}, and the document that binds it arrived on "
        f"{_told(arrived)}: the clock of the store was wrong"
        for _, job, utc in bound
        if (utc - arrived).total_seconds() > CLOCK_SLACK_S
    ]
    last = max((utc for *_, utc in bound), default=None)
    if last is None or (arrived - last).total_seconds() <= LATE_S:
        return Verdict(wrong=tuple(wrong[:MOST_TOLD]))
    late = (
        f"the document arrived on {_told(arrived)}, and the last fact that it binds says {_told(last)}: it was made "
        "late, or the clock of the store was wrong"
    )
    return Verdict(wrong=tuple(wrong[:MOST_TOLD]), told=(late,))


def _told(when: datetime) -> str:
    return f"{when:%Y-%m-%d at %H:%M} UTC"

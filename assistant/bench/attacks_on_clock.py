"""Attacks by the clock that can be set: within a wait, within a job, for a whole job, for all of them."""

from __future__ import annotations

from datetime import datetime

from assistant.adapters.heads_file import RememberedHeads
from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.bench.attack_world import NOTE, OPEN, World, moment, utc
from assistant.bench.attacks_on_store import Attack, noticed, sql
from assistant.facts import Fact, JobStarted, NoteTaken, fact_of
from assistant.record.log import Moment
from assistant.record.verify import Verdict
from assistant.wiring.records import seconds_away
from assistant.wiring.verifying import verify_store


def _first(key: str, job: str) -> Fact:
    """The first fact of a made-up job."""
    started = JobStarted(key=key, title="made up", version=1, always_confirm=False, ear=False)
    return fact_of(started, id=f"{key}-1", job=job, number=1, at_s=0.0)


def _clock_forward_in_a_wait(world: World) -> Verdict:
    """An hour by the time of day while two seconds passed, over a program's end: what counts as rested?"""
    hours = iter(f"2031-05-01T{hour:02d}:00:00.000Z" for hour in range(9, 20))
    journal = MemoryJournal(lambda: next(hours), moment=moment)
    journal.append([_first("k", "j")])
    rested_s = seconds_away(journal, "j", lambda: Moment(boot=moment().boot, ms=moment().ms + 2_000))
    return noticed(f"{rested_s:.0f} s count as waited, and the rest is waited" if rested_s == 2.0 else "")


def _clock_forward_over_a_start(world: World) -> Verdict:
    """The same over a new start of the machine, after which its own clock begins anew."""
    journal = MemoryJournal(utc, moment=moment)
    journal.append([_first("k", "j")])
    rested_s = seconds_away(journal, "j", lambda: Moment(boot="another-run", ms=9_000_000))
    return noticed("no time counts as waited, and the whole rest is waited" if rested_s == 0.0 else "")


def _clock_set(world: World, said: str) -> None:
    journal = SqliteJournal(world.data, lambda: said, signer=world.key(), moment=moment)
    facts = journal.facts(OPEN)
    key = facts[0].id.removesuffix("-1")
    number = len(facts) + 1
    journal.append([fact_of(NoteTaken(words=NOTE), id=f"{key}-{number}", job=OPEN, number=number, at_s=99.0)])
    journal.close()


def _always_wrong(world: World) -> None:
    journal = SqliteJournal(world.data, lambda: "2029-01-01T00:00:00.000Z", signer=world.key(), moment=moment)
    journal.append([_first("w", "early")])
    journal.close()


def _arrived(world: World, said: str) -> Verdict:
    """A store of its own that knows no other clock; what it says when the day is told on which a report arrived."""
    folder = world.root / "other-clock"
    journal = SqliteJournal(folder, lambda: said, signer=world.key(), moment=moment)
    journal.append([_first("w", "wrong")])
    arrived = datetime.fromisoformat("2031-05-02T00:00:00+00:00")
    seen = RememberedHeads(world.root / "nothing-seen", folder)
    found = verify_store(journal, (), folder, seen=seen, arrived=(journal.log_head(), arrived)).verdict
    journal.close()
    return found


CLOCK: tuple[Attack, ...] = (
    Attack(name="the time of day set forward during a rest", on="clock", does=_clock_forward_in_a_wait),
    Attack(name="the same over a new start of the machine", on="clock", does=_clock_forward_over_a_start),
    Attack(
        name="the time of day set forward in a job",
        on="clock",
        does=lambda world: _clock_set(world, "2031-05-01T13:00:00.000Z"),
    ),
    Attack(
        name="the time of day set back in a job",
        on="clock",
        does=lambda world: _clock_set(world, "2031-04-21T09:00:00.000Z"),
    ),
    Attack(
        name="a fact's time of day changed in the store",
        on="clock",
        does=sql("UPDATE facts SET recorded_utc = '2030-01-01T00:00:00.000Z' WHERE number = 2"),
    ),
    Attack(name="a whole job recorded by a clock that is wrong", on="clock", does=_always_wrong),
    Attack(
        name="every job by a clock that is ahead, against the day on which a report arrived",
        on="clock",
        does=lambda world: _arrived(world, "2031-06-01T09:00:00.000Z"),
    ),
    Attack(
        name="every job by a clock that is behind, against the day on which a report arrived",
        on="clock",
        does=lambda world: _arrived(world, "2029-01-01T00:00:00.000Z"),
    ),
)

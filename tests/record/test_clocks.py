"""Times of day that the order of the log, or the day on which a document arrived, proves wrong."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from assistant.adapters.journal_memory import MemoryJournal
from assistant.facts import Fact, FactKind
from assistant.record.clocks import MOST_TOLD, times_in, verify_arrival, verify_order

NINE = datetime(2031, 5, 1, 9, tzinfo=UTC)


def shop(*hours: float) -> tuple[MemoryJournal, list[tuple[int, str, datetime]]]:
    """A shop with a job begun at each of these hours after nine, by its own clock."""
    now = NINE

    def utc() -> str:
        return now.isoformat()

    journal = MemoryJournal(utc)
    for number, hour in enumerate(hours):
        now = NINE + timedelta(hours=hour)
        fact = Fact(id=f"k{number}-1", job=f"car-{number}", number=1, at_s=0.0, kind=FactKind.JOB_STARTED, data={})
        journal.append([fact])
    return journal, [one for job in journal.jobs() for one in times_in(job, journal.logged(job), journal.entries(job))]


def test_a_time_that_goes_back_along_the_log_is_told() -> None:
    """A whole job by a clock that was ahead shows at the next one; in order nothing is said."""
    assert verify_order(shop(0, 1, 1, 30)[1]).told == ()
    (said,) = verify_order(shop(0, 100, 2)[1]).told
    assert "of job 'car-2', came after" in said and "352800 s earlier" in said


def test_what_a_document_binds_was_recorded_before_it_arrived() -> None:
    """Later times are wrong; a last one that lies more than a day before is told, for it may have been sent late."""
    journal, times = shop(0, 1, 50)
    head = journal.log_head()
    assert verify_arrival(head, NINE + timedelta(hours=60), times).wrong == ()
    assert verify_arrival(head, NINE + timedelta(hours=60), times).told == ()
    (said,) = verify_arrival(head, NINE + timedelta(hours=2), times).wrong
    assert "job 'car-2' says that it was recorded on 2031-05-03 at 11:00 UTC" in said
    (late,) = verify_arrival(head, NINE + timedelta(hours=99), times).told
    assert "made late, or the clock" in late
    earlier = shop(0, 1)[0].log_head()
    assert verify_arrival(earlier, NINE + timedelta(hours=2), times).wrong == ()


def test_only_times_of_facts_that_were_appended_here_count() -> None:
    """What came from elsewhere has another machine's clock; what is no time, and a fact that is gone, say nothing."""
    journal, times = shop(0, 1)
    leaves, entries = list(journal.logged("car-1")), journal.entries("car-1")
    assert list(times_in("car-1", leaves, entries)) == times[1:]
    assert list(times_in("car-1", [replace(leaf, kind="taken") for leaf in leaves], entries)) == []
    assert list(times_in("car-1", leaves, [replace(one, recorded_utc="soon") for one in entries])) == []
    assert list(times_in("car-1", leaves, ())) == list(times_in("car-1", [replace(leaves[0], number=0)], entries)) == []


def test_a_clock_that_went_back_often_is_told_some_places() -> None:
    """More of them tell no more; a minute and a half is no jump."""
    assert len(verify_order(shop(*range(20, 0, -1))[1]).told) == MOST_TOLD
    assert verify_order(shop(1, 1 - 89 / 3600)[1]).told == ()
    assert len(verify_order(shop(1, 1 - 91 / 3600)[1]).told) == 1


def test_of_a_document_that_binds_nothing_its_arrival_says_nothing() -> None:
    """Nor of facts that came after it was made."""
    journal, times = shop(0, 50)
    assert verify_arrival(journal.log_head(), NINE, ()).told == ()
    before = replace(journal.log_head(), size=times[1][0])
    assert verify_arrival(before, NINE + timedelta(hours=1), times) == verify_arrival(before, NINE, ())

"""Times of day that the order of the log, or the day on which a document arrived, proves wrong."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from assistant.adapters.journal_memory import MemoryJournal
from assistant.facts import Fact, FactKind
from assistant.record.clocks import times_in, verify_arrival, verify_order

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

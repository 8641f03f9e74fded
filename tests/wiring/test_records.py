"""The shop's records as this machine keeps them."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.journal_memory import MemoryJournal
from assistant.errors import RecordError
from assistant.facts import Fact, FactKind
from assistant.record.log import Moment
from assistant.wiring.folders import data_folder, utc_now
from assistant.wiring.records import look_into_journal, seconds_away


@pytest.mark.parametrize(
    ("now", "away_s"),
    [
        (Moment(boot="run-1", ms=225_500), 125.5),
        (Moment(boot="run-1", ms=100_000), 0.0),
        (Moment(boot="run-1", ms=99_000), 0.0),  # a machine put back to an earlier state of itself
        (Moment(boot="run-2", ms=900_000), 0.0),  # started anew: how long it was off is not known
        (None, 0.0),  # no such clock
    ],
)
def test_only_a_clock_that_nobody_can_set_takes_time_away(now: Moment | None, away_s: float) -> None:
    """Whatever the time of day says: by an hour forward no starter has rested and no vapour has cleared."""
    utc = ["2031-05-01T09:00:00.000Z"]
    journal = MemoryJournal(lambda: utc[0], moment=lambda: Moment(boot="run-1", ms=100_000))
    journal.append([Fact(id="k-1", job="job", number=1, at_s=30.0, kind=FactKind.JOB_STARTED)])
    utc[0] = "2031-05-01T10:00:00.000Z"
    assert seconds_away(journal, "job", lambda: now) == away_s
    assert seconds_away(journal, "nobody", lambda: now) == 0.0


def test_a_job_that_came_from_another_machine_has_no_time_away() -> None:
    """The clock that read it then is not the one that reads now."""
    there, here = MemoryJournal(utc_now), MemoryJournal(utc_now, moment=lambda: Moment(boot="run-1", ms=1_000))
    there.append([Fact(id="k-1", job="job", number=1, at_s=30.0, kind=FactKind.JOB_STARTED)])
    here.take(there.entries("job"))
    assert seconds_away(here, "job", lambda: Moment(boot="run-1", ms=900_000)) == 0.0


def test_a_data_folder_that_is_made_is_the_users_alone(tmp_path: Path) -> None:
    """Plates and names lie in it; a folder that was there before is left as it is."""
    made = data_folder(tmp_path / "data")
    assert made.stat().st_mode & 0o077 == 0
    made.chmod(0o750)
    assert data_folder(made).stat().st_mode & 0o777 == 0o750


def test_a_store_that_was_never_finished_is_told_as_such(tmp_path: Path) -> None:
    """A program killed while it made its first store leaves an empty file, which is no older version."""
    (tmp_path / "jobs.sqlite").touch()
    with pytest.raises(RecordError, match="holds no record yet"):
        look_into_journal(tmp_path)

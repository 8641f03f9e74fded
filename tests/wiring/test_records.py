"""The shop's records as this machine keeps them."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.journal_memory import MemoryJournal
from assistant.errors import RecordError
from assistant.facts import Fact, FactKind
from assistant.wiring.folders import data_folder
from assistant.wiring.records import look_into_journal, seconds_away


@pytest.mark.parametrize(
    ("now", "away_s"),
    [
        ("2031-05-01T09:02:05.500Z", 125.5),
        ("2031-05-01T09:00:00.000Z", 0.0),
        ("2031-04-30T09:00:00.000Z", 0.0),  # the clock was set back a day
        ("1970-01-01T00:00:00.000Z", 0.0),  # the clock was lost
    ],
)
def test_a_clock_that_was_set_back_takes_no_time_away(now: str, away_s: float) -> None:
    """The time of a job never falls: what was rested is not rested twice, and nothing waits for a day."""
    journal = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
    journal.append([Fact(id="k-1", job="job", number=1, at_s=30.0, kind=FactKind.JOB_STARTED)])
    assert seconds_away(journal, "job", lambda: now) == away_s
    assert seconds_away(journal, "nobody", lambda: now) == 0.0


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

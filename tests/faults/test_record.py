"""The record's disk and folder fail: nothing is spoken of what was not kept, and everything acknowledged is there."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.errors import RecordError
from assistant.guide import fold
from assistant.language.model import Heard
from tests.session.live_shop import Shop

DAYS = ("2031-05-01T09:00:00.000Z", "2029-01-01T00:00:00.000Z", "2044-12-31T23:59:59.000Z")


class Times:
    """The time of day, set by somebody each time that it is asked for."""

    def __init__(self):
        self.asked = 0

    def __call__(self):
        """Now, as that somebody has it."""
        self.asked += 1
        return DAYS[self.asked % len(DAYS)]


def stored(folder: Path) -> SqliteJournal:
    """The store in that folder."""
    return SqliteJournal(folder, Times())


def refuse_next(shop: Shop) -> float:
    """The next answer cannot be kept: it is told aloud, and the state stays. Seconds until it is told."""
    shop.fall_silent()
    at = shop.conversation.state.at
    began_s, said = shop.now_s, len(shop.sentences)
    shop.recogniser.will_hear.append(Heard(words="done", confidence=1.0))
    with pytest.raises(RecordError) as refused:
        shop.loop.step()
    assert shop.sentences[said:] == [refused.value.spoken]
    assert shop.conversation.state.at == at
    return shop.now_s - began_s


def remove(folder: Path) -> None:
    """Everything."""
    shutil.rmtree(folder)


def move(folder: Path) -> None:
    """To another place."""
    folder.rename(folder.with_name("elsewhere"))


def replace(folder: Path) -> None:
    """By an older copy."""
    shutil.copy(folder / "jobs.sqlite", folder / "older")
    (folder / "older").replace(folder / "jobs.sqlite")


@pytest.mark.parametrize("lose", [remove, move, replace])
def test_the_data_folder_goes_away(library, tmp_path: Path, row, lose: Callable[[Path], None]) -> None:
    """What would be added to a file that nobody finds again is refused; the system itself lets it be written."""
    journal = stored(tmp_path / "data")
    shop = Shop(library, journal=journal)
    kept = journal.facts("job")
    lose(tmp_path / "data")
    within_s = refuse_next(shop)
    journal.close()
    if lose is move:
        (tmp_path / "elsewhere").rename(tmp_path / "data")
        again = stored(tmp_path / "data")
        assert again.facts("job") == kept
        again.close()
    row(
        f"data folder {lose.__name__}d in a job",
        told="voice: the record folder is gone, stopping",
        within_s=within_s,
        kept="every fact that was said to be kept, where the files now are",
        goes_on="the session ends (exit 4); resumes once they are back",
    )


def test_a_folder_made_read_only(library, tmp_path: Path, row) -> None:
    """A store that may not be written any more is told of by the next fact; everything before it stays."""
    journal = stored(tmp_path / "data")
    shop = Shop(library, journal=journal)
    kept = journal.facts("job")
    # SQLite refuses as on a read-only disk, which tests/adapters mounts: who is root may write into any folder.
    journal._connection.execute("PRAGMA query_only = ON")
    within_s = refuse_next(shop)
    assert journal.facts("job") == kept
    assert "read only" in shop.sentences[-1]
    row(
        "data folder read-only",
        told="voice: the record folder is read only, stopping",
        within_s=within_s,
        kept="every fact",
        goes_on="the session ends (exit 4); `hoodside resume` once it may be written",
    )
    journal.close()


def test_the_disk_is_full(library, tmp_path: Path, row) -> None:
    """The fact that finds no space is refused aloud, and the very same words go on once there is some."""
    journal = stored(tmp_path / "data")
    shop = Shop(library, journal=journal)
    # SQLite refuses as on a full disk, which tests/adapters mounts.
    (pages,) = journal._connection.execute("PRAGMA page_count").fetchone()
    journal._connection.execute(f"PRAGMA max_page_count = {pages}")
    kept, began_s, words = journal.facts("job"), shop.now_s, "pause"
    with pytest.raises(RecordError) as refused:  # free pages take some facts first
        for number in range(400):
            words = ("pause", "resume")[number % 2]
            shop.fall_silent()
            kept, began_s = journal.facts("job"), shop.now_s
            state = shop.conversation.state
            shop.recogniser.will_hear.append(Heard(words=words, confidence=1.0))
            shop.loop.step()
    within_s = shop.now_s - began_s
    assert shop.sentences[-1] == refused.value.spoken and "disk is full" in shop.sentences[-1]
    assert journal.facts("job") == kept and shop.conversation.state == state
    journal._connection.execute("PRAGMA max_page_count = 100000")
    shop.hear(words)
    assert len(journal.facts("job")) > len(kept)
    journal.close()
    row(
        "disk full",
        told="voice: the disk is full, I cannot keep the record, stopping",
        within_s=within_s,
        kept="every fact",
        goes_on="the session ends (exit 4); `hoodside resume` once there is space",
    )


def test_the_clock_is_set(library, tmp_path: Path, row) -> None:
    """The time of day jumps by years with every turn: order, waits and state do not change by it."""
    journal = stored(tmp_path / "data")
    shop = Shop(library, journal=journal)
    shop.hear("done")
    facts = journal.facts("job")
    assert [fact.number for fact in facts] == list(range(1, len(facts) + 1))
    times = [fact.at_s for fact in facts]
    assert times == sorted(times)
    assert fold(library, facts) == shop.conversation.state
    assert len({entry.recorded_utc for entry in journal.entries("job")}) > 1
    journal.close()
    row(
        "time of day jumps",
        told="nothing: no wait goes by it",
        within_s=None,
        kept="every fact, in order; the record shows the times as they were",
        goes_on="as if nothing had been; `hoodside jobs verify` tells of the jump",
    )


def test_two_sessions_on_one_job(library, tmp_path: Path, row) -> None:
    """The second is refused in words, the first goes on."""
    first, second = stored(tmp_path), stored(tmp_path)
    first.claim("job")
    shop = Shop(library, journal=first)
    with pytest.raises(RecordError, match="open in another program") as refused:
        second.claim("job")
    assert refused.value.spoken
    shop.hear("done")
    assert shop.conversation.state.at.step == "complaint"
    first.close()
    second.claim("job")
    second.close()
    row(
        "two sessions on one job",
        told="the second: this job is open in another program (exit 4)",
        within_s=0.0,
        kept="every fact of the first",
        goes_on="the first goes on; the second may once it has ended",
    )

"""Bits by which a search passes jobs by: never one that holds the word, and none is left of what was removed."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.journal_sqlite import lines as lines_file
from assistant.adapters.journal_sqlite.signs import TABLE, add_signs, condition, signs_of
from assistant.facts import Fact, FactKind
from assistant.record.personal import Belonging
from assistant.record.summary import JobQuery

NOTE = "oil on the connector by the harness"


def utc() -> str:
    """An invented time of day."""
    return "2031-05-01T09:00:00.000Z"


def job(number: int, *told: tuple[FactKind, dict[str, object]]) -> list[Fact]:
    """An invented job under its own key."""
    first = (FactKind.JOB_STARTED, {"key": f"k{number}"})
    return [
        Fact(id=f"k{number}-{at}", job=f"van-{number}", number=at, at_s=at, kind=kind, data=data)
        for at, (kind, data) in enumerate((first, *told), start=1)
    ]


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=40), st.text(max_size=40), st.data())
@example("demo42", "\ud800 half", None)
def test_a_word_that_is_there_is_never_passed_by(text: str, other: str, data: st.DataObject | None) -> None:
    """Any piece of either text passes; a word too short for a bit asks for none."""
    store = sqlite3.connect(":memory:")
    store.execute("CREATE TABLE jobs (job_no INTEGER PRIMARY KEY)")
    store.execute(TABLE)
    add_signs(store, 1, [text])
    add_signs(store, 1, [other])
    pieces = [text, other] if data is None else [data.draw(st.sampled_from([text, other]))]
    for whole in pieces:
        start = 0 if data is None else data.draw(st.integers(0, len(whole)))
        word = whole[start : len(whole) if data is None else data.draw(st.integers(start, len(whole)))]
        bits, masks = condition((word, "zzzqqq"))
        assert (bits == "") == (len(word) < 3)
        where = f"WHERE {bits}" if bits else ""
        assert store.execute(f"SELECT job_no FROM signs {where}", masks).fetchall() == [(1,)]
    store.close()


def test_what_is_removed_leaves_no_bit(tmp_path: Path) -> None:
    """After forgetting the words the row is that of a job in which they were never said."""
    journal = SqliteJournal(tmp_path, utc)
    journal.append(job(1, (FactKind.NOTE_TAKEN, {"words": NOTE})))
    journal.append(job(2))
    store = sqlite3.connect(tmp_path / FILE_NAME)
    row = "SELECT s0, s1, s2, s3, s4, s5, s6, s7 FROM signs WHERE job_no = ?"
    before = store.execute(row, (1,)).fetchone()
    journal.remove_personal("van-1", [Belonging.WORDS])
    after, line = store.execute(row, (1,)).fetchone(), store.execute("SELECT everything FROM summaries").fetchone()
    store.close()
    assert before != after == signs_of(line)
    assert journal.search(JobQuery(words=("harness",))) == ()
    assert journal.line_faults() == ()
    journal.close()


def test_a_job_that_searches_would_pass_by_is_found_by_the_check(tmp_path: Path) -> None:
    """Whoever takes bits away hides a job from searches, and jobs verify tells it."""
    journal = SqliteJournal(tmp_path, utc)
    journal.append(job(1, (FactKind.NOTE_TAKEN, {"words": NOTE})))
    assert [one.job for one in journal.search(JobQuery(words=("harness",)))] == ["van-1"]
    assert journal.line_faults() == ()
    store = sqlite3.connect(tmp_path / FILE_NAME)
    for change in ("UPDATE signs SET s3 = 1 << 62", "DELETE FROM signs"):
        store.execute(change)
        store.commit()
        (wrong,) = journal.line_faults()
        assert "van-1" in wrong
    store.close()
    journal.close()


def test_many_and_few_jobs_that_can_hold_a_word_answer_alike(tmp_path: Path) -> None:
    """Looked up one by one or newest first, the same jobs come in the same order."""
    journal = SqliteJournal(tmp_path, utc)
    for number in range(1, 9):
        journal.append(job(number, (FactKind.NOTE_TAKEN, {"words": NOTE if number % 3 else "no change"})))
    query = JobQuery(words=("harness", "van"), most=3)
    few = journal.search(query)
    assert [one.job for one in few] == ["van-8", "van-7", "van-5"]
    lines_file.MOST_BY_NUMBER, kept = 2, lines_file.MOST_BY_NUMBER
    try:
        assert journal.search(query) == few
    finally:
        lines_file.MOST_BY_NUMBER = kept
    journal.close()

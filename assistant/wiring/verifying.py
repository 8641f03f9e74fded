"""What `jobs verify`, `resume`, `report` and `export` prove of the store before they rely on it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_data_path

from assistant.adapters.heads_file import RememberedHeads
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.errors import RecordChanged
from assistant.facts import Fact, key_of
from assistant.record.log import LeafKind, LogHead
from assistant.record.verify import Verdict, verify_head, verify_job, verify_log, verify_remembered
from assistant.wiring.keys import is_signed, remembered
from assistant.wiring.records import check_clips

if TYPE_CHECKING:  # the ports bring the arithmetic of sound with them
    from assistant.ports import Archive

MOST_NAMED = 3


def damage_of(archive: Archive, job: str) -> tuple[str, ...]:
    """What of the job is not as it was recorded, a sentence each: its facts, its texts, its place in the signed log."""
    return proved(archive, job).wrong


def proved(archive: Archive, job: str, *, trusted: Collection[bytes] = ()) -> Verdict:
    """What can be proved of one job without reading any other."""
    return verify_job(archive, job) + verify_head(archive, is_signed, trusted=trusted)


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What came of a check. `jobs`: how many were looked at. `head`: where the log ended."""

    jobs: int
    head: LogHead
    verdict: Verdict


def verify_store(
    journal: SqliteJournal,
    jobs: Sequence[str],
    data: Path | None,
    *,
    trusted: Collection[bytes] = (),
    seen: RememberedHeads | None = None,
) -> Checked:
    """These jobs, or where there are none the whole store, with log, search lines, sound and what was remembered.

    `seen`: what was remembered; this installation's memory unless given.
    """
    verdict = verify_head(journal, is_signed, trusted=trusted)
    names = tuple(jobs) or journal.jobs()
    for name in names:
        if not journal.entries(name):
            gone = any(True for _ in journal.logged(name))
            words = f"every fact of job '{name}' is gone" if gone else f"there is no job '{name}'"
            verdict += Verdict(wrong=(words,))
            continue
        found = verify_job(journal, name)
        verdict += found if found.wrong else found + _sound(journal, name, data)
    if not jobs:
        verdict += Verdict(wrong=(*journal.damage(), *journal.line_faults()))
        verdict += verify_log(journal)
    folder = data or user_data_path("hoodside", appauthor=False)
    verdict += Verdict(wrong=verify_remembered(journal, (seen or remembered(folder)).heads()))
    return Checked(jobs=len(names), head=journal.log_head(), verdict=verdict)


def _sound(journal: SqliteJournal, job: str, data: Path | None) -> Verdict:
    """The clips that the job's facts name: changed, or gone where they were recorded; sound travels with no export."""
    facts = journal.facts(job)
    changed, absent = check_clips(data, _label(journal, job, facts), facts)
    wrong = list(changed)
    told = f"of the sound and pictures that facts of job '{job}' name {absent} are not in this folder"
    came = any(leaf.kind in (LeafKind.TAKEN, LeafKind.FOUND) for leaf in journal.logged(job))
    if absent and not came:
        wrong.append(told)
    return Verdict(wrong=tuple(wrong), told=(told,) if absent and came else ())


def _label(journal: SqliteJournal, job: str, facts: Sequence[Fact]) -> str:
    """What the job is called here, after which the folder of its files is named; it may be asked for by its key."""
    if not facts or job != key_of(facts[0].id, 1):
        return job
    likely = facts[0].job
    names = (likely, *journal.jobs()) if journal.facts(likely) else journal.jobs()
    return next((name for name in names if journal.facts(name)[:1] == tuple(facts[:1])), job)


def require_whole(archive: Archive, job: str) -> None:
    """Raises RecordChanged where the job is not as it was recorded."""
    wrong = damage_of(archive, job)
    if wrong:
        raise RecordChanged(
            f"Job '{job}' is not as it was recorded: {_named(wrong)}. Nothing was added. Its report says so across its "
            f"page; begin a new job, and close this one with: hoodside jobs close '{job}'",
            spoken="This record was changed. I do not go on with it.",
        )


def _named(wrong: Sequence[str]) -> str:
    more = len(wrong) - MOST_NAMED
    return "; ".join(wrong[:MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")

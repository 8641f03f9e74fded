"""The shop's records as this machine keeps them."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_data_path

from assistant.adapters.clock_boot import boot_moment
from assistant.adapters.journal_sqlite import FILE_NAME as STORE_FILE
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.errors import RecordError, UsageError
from assistant.facts import Fact, Left, RepairConfirmed, VehicleNoted, key_of
from assistant.record.clips import clips_of
from assistant.record.log import LogHead, Moment
from assistant.record.personal import REMOVED
from assistant.record.photographs import pictures_of
from assistant.record.summary import JobQuery, tidied
from assistant.record.verify import verify_remembered
from assistant.wiring.folders import data_folder, utc_now
from assistant.wiring.keys import install_key, remembered

if TYPE_CHECKING:  # what only a session needs is loaded there: it takes as long as a whole search
    from assistant.guide.inherited import Earlier
    from assistant.ports import Archive


def open_journal(data: Path | None = None, *, invented: bool = False) -> SqliteJournal:
    """The shop's journal in the data folder, signed with this installation's key; made when missing.

    Raises RecordError. Where the key cannot be used that is told, and the record is kept unsigned; told is as well that
    the store is not the one that was last written here. `invented`: nothing real is kept, so nothing is signed.
    """
    folder = data_folder(data)
    if invented:
        return SqliteJournal(folder, utc_now)
    seen, follows = remembered(folder), True

    def remember(head: LogHead) -> None:
        seen.add(head, follows=follows)

    journal = SqliteJournal(folder, utc_now, signer=install_key(), moment=boot_moment, on_close=remember)
    for wrong in verify_remembered(journal, seen.heads()):
        follows = False
        sys.stderr.write(f"hoodside: {wrong}; see hoodside jobs verify.\n")
    return journal


def holds_records(data: Path | None = None) -> bool:
    """Whether a record was ever kept in the data folder."""
    return ((data or user_data_path("hoodside", appauthor=False)) / STORE_FILE).exists()


def look_into_journal(data: Path | None = None) -> SqliteJournal:
    """The shop's journal, only to look at, also on a disk that may not be written.

    Raises UsageError when no record was ever kept there, RecordError when it cannot be read.
    """
    folder = data or user_data_path("hoodside", appauthor=False)
    if not holds_records(data):
        raise UsageError(f"There are no records in '{folder}'; name the folder with --data.")
    return SqliteJournal(folder, utc_now, reading=True)


def check_clips(data: Path | None, job: str, facts: Iterable[Fact]) -> tuple[tuple[str, ...], int]:
    """What is wrong with the sound and photographs kept beside these facts, and how many of them are not here."""
    from assistant.adapters.clips_wav import PictureFiles, WavClips

    folder, known = data or user_data_path("hoodside", appauthor=False), tuple(facts)
    clips, names = WavClips(folder), clips_of(known)
    files, shots = PictureFiles(folder), pictures_of(known)
    wrong = (*clips.faults(job, names), *files.faults(job, shots))
    return wrong, clips.missing(job, names) + files.missing(job, shots)


def confirmed_repairs(journal: SqliteJournal, procedure: str) -> tuple[str, ...]:
    """The faults of the shop's confirmed repairs in jobs that began with this procedure, one a job at most."""
    latest = {key_of(fact.id, fact.number): fact for fact in journal.repairs()}
    of_these = (fact.shows(RepairConfirmed) for fact in latest.values() if fact.procedure == procedure)
    return tuple(said.fault for said in of_these if said.fault)


SEARCHED = 50
"""Jobs looked at for the same car, the newest. Judgement."""


def left_of_car(
    journal: Archive, vehicle: Mapping[str, str | float], same_car: str | None = None, *, by_clock: bool = True
) -> Left | None:
    """What earlier jobs on this car left of it, for the first fact of the next one; None where there were none.

    The car is known by VIN or plate, or as that of the job `same_car`. `by_clock`: whether time away counts at all.
    Raises UsageError when there is no such job.
    """
    from assistant.guide.inherited import Earlier

    told = [str(vehicle[name]) for name in CAR_KEYS if name in vehicle]
    if same_car is not None:
        facts = journal.facts(same_car)
        if not facts:
            raise UsageError(f"There is no job '{same_car}'; `hoodside jobs list` names them.")
        told += cars_of(facts)
    wanted = {tidied(each) for each in told}
    if not wanted and same_car is None:
        return None
    names = {one.job for value in told for one in journal.search(JobQuery(vehicle=(value,), most=SEARCHED))}
    jobs = []
    for name in (each for each in journal.jobs() if each in names or each == same_car):
        facts = journal.facts(name)
        if name == same_car or wanted & {tidied(each) for each in cars_of(facts)}:
            jobs.append(Earlier(facts=facts, away_s=seconds_away(journal, name) if by_clock else 0.0))
    return _left_by(jobs)


def left_of_unknown(journal: Archive, vehicle: Mapping[str, str | float], *, by_clock: bool = True) -> Left | None:
    """What the last job left that forbids work, where neither its car nor the new one has plate or VIN; else None."""
    from assistant.guide.inherited import Earlier

    names = journal.jobs()
    if not names or any(name in vehicle for name in CAR_KEYS):
        return None
    facts = journal.facts(names[-1])
    if not facts or cars_of(facts):
        return None
    left = _left_by([Earlier(facts=facts, away_s=seconds_away(journal, names[-1]) if by_clock else 0.0)])
    return left if left is not None and left.marks else None


def _left_by(jobs: list[Earlier]) -> Left | None:
    from assistant.guide.inherited import left_by

    try:
        return left_by(jobs)
    except (LookupError, ValueError, TypeError) as reason:
        raise RecordError(
            f"What earlier jobs left of this car cannot be read: {reason}; see hoodside jobs verify.",
            spoken="I cannot read what earlier jobs left of this car.",
        ) from reason


CAR_KEYS = ("vin", "plate")


def cars_of(facts: Iterable[Fact]) -> list[str]:
    """VIN and plate that were told in a job, but for what was removed since."""
    noted = (said for fact in facts if isinstance(said := fact.legible, VehicleNoted))
    return [str(said.value) for said in noted if said.fact in CAR_KEYS and said.value != REMOVED]


def seconds_away(journal: Archive, job: str, now: Callable[[], Moment | None] = boot_moment) -> float:
    """Seconds since the last fact of the job, as far as the machine's own clock, which nobody can set, proves them.

    0 where the machine was started anew meanwhile, the job came from another one, or there is no such clock: what the
    time of day says may have been set, and a wait that is over too soon can burn somebody. The rest of it is waited.
    """
    last, present = journal.moment(job), now()
    if last is None or present is None or last.boot != present.boot:
        return 0.0
    return max(0.0, (present.ms - last.ms) / 1000)

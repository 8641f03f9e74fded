"""Backups of the shop's records, putting them back, and saving what is healthy in a damaged store.

A backup is a data folder like any other: `--data` looks into it.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from platformdirs import user_data_path

from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.journal_sqlite.salvage import Salvaged, copy_store, salvage, texts_in
from assistant.adapters.shop_settings import FILE_NAME as SETTINGS
from assistant.desk.taking_in import take_chain
from assistant.errors import RecordError, UsageError
from assistant.record.admission import free_label
from assistant.record.chain import faults
from assistant.record.clips import CLIPS_FOLDER
from assistant.record.texts import texts_of
from assistant.wiring.folders import data_folder, utc_now
from assistant.wiring.keys import remembered
from assistant.wiring.records import open_journal


def back_up(data: Path | None, target: Path) -> int:
    """Copy records, sound and settings to the folder `target`, as of one moment; returns how many jobs there are.

    A store that is there is replaced once the new copy is whole. Raises UsageError or RecordError.
    """
    source = _holding_records(data)
    _other_folder(source, target)
    _make(target)
    copy_store(source / FILE_NAME, target / FILE_NAME)
    _copy_beside(source, target)
    with closing(SqliteJournal(target, utc_now, reading=True)) as copy:
        return len(copy.jobs())


def restore(backup: Path, data: Path | None) -> Iterator[tuple[str, int]]:
    """Put back every job of the backup that is not here, or shorter here; what is here stays.

    Yields what each job is called here and how many of its facts came back. Raises UsageError or RecordError.
    """
    source = _holding_records(backup)
    target = data_folder(data)
    _other_folder(source, target)
    if not (target / FILE_NAME).exists():
        copy_store(source / FILE_NAME, target / FILE_NAME)
        remembered(target).forget()  # it is put back on purpose, and may be older than what was lost
        with closing(open_journal(target)) as here:
            yield from ((job, len(here.entries(job))) for job in here.jobs())
    else:
        kept_journal, here_journal = SqliteJournal(source, utc_now, reading=True), open_journal(target)
        with closing(kept_journal) as kept, closing(here_journal) as here:
            for job in kept.jobs():
                entries = kept.entries(job)
                here.keep_texts(texts_of(entries, kept.text))
                if wrong := faults(entries):
                    raise RecordError(f"The backup is not as it was recorded: {wrong[0]}; what came before it is back.")
                yield take_chain(here, entries)
    _copy_beside(source, target)


def save_healthy(data: Path | None, target: Path) -> Iterator[Salvaged]:
    """Each job of a damaged store; the healthy ones are kept in a new store in the folder `target`."""
    source = _holding_records(data)
    _other_folder(source, target)
    if (target / FILE_NAME).exists():
        raise UsageError(f"There are records in '{target}' already; name another folder with --out.")
    _make(target)
    with closing(open_journal(target)) as saved:
        saved.keep_texts(texts_in(source / FILE_NAME))
        for one in salvage(source / FILE_NAME, utc_now()):
            if one.entries is not None:
                saved.take(one.entries, label=free_label(one.name, lambda label: bool(saved.entries(label))))
            yield one
    _copy_beside(source, target)


def _holding_records(data: Path | None) -> Path:
    folder = data or user_data_path("hoodside", appauthor=False)
    if not (folder / FILE_NAME).exists():
        raise UsageError(f"There are no records in '{folder}'.")
    return folder


def _other_folder(source: Path, target: Path) -> None:
    if source.resolve() == target.resolve():
        raise UsageError(f"'{target}' is the folder of the records themselves; name another.")


def _make(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise UsageError(f"'{folder}' cannot be made: {error.strerror or error}.") from error


def _copy_beside(source: Path, target: Path) -> None:
    """Sound and settings, as far as they are not there. Sound never changes: its name is made of it."""
    try:
        for path in (source / CLIPS_FOLDER).rglob("*.wav"):
            copy = target / path.relative_to(source)
            for folder in (target / CLIPS_FOLDER, copy.parent):
                folder.mkdir(mode=0o700, exist_ok=True)
            if not copy.exists():
                shutil.copy2(path, copy)
        if (source / SETTINGS).exists() and not (target / SETTINGS).exists():
            shutil.copy2(source / SETTINGS, target / SETTINGS)
    except OSError as error:
        raise RecordError(f"The sound could not be copied to '{target}': {error.strerror or error}.") from error

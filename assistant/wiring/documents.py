"""The documents of a job as this machine makes them: by the procedures that it was begun with, verified, sealed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_data_path

from assistant.desk.found import entries_of
from assistant.facts import key_of
from assistant.record.build import build_record, procedures_used
from assistant.record.chain import Entry, Head
from assistant.record.csv_text import csv_text
from assistant.record.invoice import invoice_text
from assistant.record.log import LogHead, Signer
from assistant.record.model import JobRecord
from assistant.record.page.model import Paper
from assistant.record.photographs import Photographs
from assistant.record.plain import json_text
from assistant.record.seal import Seal, sealed
from assistant.record.texts import file_of, named_model, named_texts
from assistant.record.wording import parsed_utc
from assistant.wiring.at_hand import procedures_for
from assistant.wiring.fault_names import fault_names, names_in
from assistant.wiring.verifying import damage_of

if TYPE_CHECKING:  # the ports bring the arithmetic of sound with them
    from assistant.ports import Archive

FORMATS = ("html", "pdf", "json", "csv", "invoice")


def record_of(archive: Archive, job: str, key: bytes = b"") -> JobRecord:
    """The record of a job, with what is not as it was recorded in `damage`. `key`: the public half that will seal it.

    Raises UsageError for an unknown job, RecordError where a fact can no longer be read.
    """
    entries = entries_of(archive, job)
    record = record_from(archive, entries, replace(archive.log_head(), key=key), damage_of(archive, job))
    # A chain from elsewhere may be called otherwise here than where it was begun.
    return record if job == key_of(entries[0].id, 1) else replace(record, job=job)


def record_from(archive: Archive, entries: Sequence[Entry], log: LogHead, damage: Sequence[str] = ()) -> JobRecord:
    """The record of these entries, by the procedures that the job was begun with."""
    procedures = procedures_for(entries, archive.text, procedures_used(entries))
    return build_record(entries, procedures, _fault_names(archive, entries), log=log, damage=damage)


def _fault_names(archive: Archive, entries: Sequence[Entry]) -> dict[str, str]:
    """What the faults of the fault model are called that the job was begun with; nothing where it has none."""
    digest, first = named_model(entries), entries[0].fact()
    if digest is not None or named_texts(entries):
        return names_in(archive.text(digest or "") or "")
    return fault_names(str(first.procedure), file_of(first))


def pictures_in(data: Path | None) -> Photographs:
    """The photographs that lie in the data folder."""

    def read(job: str, name: str) -> bytes | None:
        from assistant.adapters.clips_wav import PictureFiles  # it brings sound; few documents hold photographs

        return PictureFiles(data or user_data_path("hoodside", appauthor=False)).read(job, name)

    return read


def none_at_hand(_job: str, _name: str) -> None:
    """Where no photographs are."""


def document(record: JobRecord, kind: str, paper: Paper = Paper.A4, *, pictures: Photographs = none_at_hand) -> bytes:
    """The document of that format, as the bytes of a file without a seal. Times of day are this machine's. `pictures`:
    where the photographs of the job are found."""
    if kind == "pdf":
        from assistant.record.pdf import pdf_bytes  # 80 MB that only paper needs

        return pdf_bytes(record, local_time, paper, pictures)
    if kind == "html":
        from assistant.record.html import html_text  # its templates are loaded for pages alone

        return html_text(record, local_time, paper, pictures).encode()
    if kind == "csv":
        return csv_text(record).encode()
    if kind == "invoice":
        return invoice_text(record, local_time).encode()
    return json_text(record).encode()


def sealed_document(
    record: JobRecord,
    kind: str,
    log: LogHead,
    signer: Signer | None,
    paper: Paper = Paper.A4,
    *,
    pictures: Photographs = none_at_hand,
) -> bytes:
    """The document with its seal."""
    made = document(record, kind, paper, pictures=pictures)
    head = Head(number=record.chain.number, hash=bytes.fromhex(record.chain.hash))
    key = key_of(record.facts[0].id, 1)
    seal = Seal(job=record.job, job_key=key, head=head, log=log, made_by=made_by(record, kind, paper))
    return sealed(made, kind, seal, signer)


def made_by(record: JobRecord, kind: str, paper: Paper = Paper.A4) -> str:
    """All that a document's bytes depend on besides the record: versions, and how far the local time is from UTC."""
    when = parsed_utc(record.started_utc)
    away = local_time(when).strftime("%z") if when else ""
    packages = ("hoodside", *(("typst",) if kind == "pdf" else ()))
    on = [f"UTC{away}"] if kind in ("html", "pdf", "invoice") else []
    on += [paper.value] if kind in ("html", "pdf") else []
    return ", ".join([*(f"{name} {_version(name)}" for name in packages), *on])


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "of no package"


def local_time(when: datetime) -> datetime:
    """The time of day where this machine stands."""
    return when.astimezone()

"""Jobs on their way in: an export opened and checked whole, then kept under a name that is free here."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.desk.forgetting import follow_removals
from assistant.record.admission import NameTaken, free_label
from assistant.record.chain import Entry
from assistant.record.exchange import Export, ForgedExport, read_export
from assistant.record.log import Signed
from assistant.record.seal import NoSeal, opened, seal_holds

if TYPE_CHECKING:  # the ports bring the arithmetic of sound with them
    from assistant.ports import Archive

LARGEST_LINE = 200_000_000
"""Bytes of one job in an export; a day-long job has less than a hundredth of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """A job that was taken in. `name`: as it was begun; `label`: what it is called here; `new` of `count` facts.

    `removals`: what was removed of it here, or was not and why, a sentence each.
    """

    name: str
    label: str
    new: int
    count: int
    removals: tuple[str, ...]


def bounded(read_line: Callable[[int], bytes]) -> bytes:
    """All that `read_line` (of at most so many bytes) gives until nothing comes.

    Raises ForgedExport for a line that no job fills.
    """
    found: list[bytes] = []
    while line := read_line(LARGEST_LINE + 1):
        if len(line) > LARGEST_LINE:
            raise ForgedExport(f"line {len(found) + 1} is longer than any job")
        found.append(line)
    return b"".join(found)


def open_export(content: bytes, signed: Signed) -> tuple[Export, bytes]:
    """What a file holds, checked, and the key that vouches for it; empty where nobody does.

    `signed`: whether a key signed a message. Raises ForgedExport: no export, changed, cut, or with a seal that does not
    fit.
    """
    key = b""
    try:
        kind, inside, seal = opened(content)
        if kind != "export":
            raise ForgedExport("this is a report, not an export")
        if seal.key and not seal_holds(inside, seal, signed):
            raise ForgedExport("its seal does not fit what it holds: it was changed after it was made")
        content, key = inside, seal.key
    except NoSeal:
        if b'{"seal":' in content:
            raise ForgedExport("its seal cannot be read, or something stands behind it") from None
    try:
        return read_export(content.decode("utf-8")), key
    except UnicodeDecodeError as reason:
        raise ForgedExport("this is not text in UTF-8") from reason


def take_in(archive: Archive, export: Export, key: bytes, known: Sequence[str], *, ours: bytes) -> Iterator[TakenIn]:
    """Keep each job of an export and follow what was removed of it; told one by one, as each is kept.

    `key`: who vouches for the export; `known`: first digits of keys whose removals are followed; `ours`: our own key.
    Raises RecordError.
    """
    archive.keep_texts(export.texts)
    for one in export.jobs:
        label, new = take_chain(archive, one.entries, key)
        removals = follow_removals(archive, one, key, known, ours=ours)
        yield TakenIn(name=one.entries[0].job, label=label, new=new, count=len(one.entries), removals=removals)


def take_chain(archive: Archive, entries: tuple[Entry, ...], key: bytes = b"") -> tuple[str, int]:
    """Keep a checked chain under its own name or, where another job has that, with a number behind it.

    `key`: who vouches for it. Returns what it is called here where it is new, and how many of its facts were new.
    Raises RecordError.
    """
    name = entries[0].job
    try:
        return name, archive.take(entries, key=key)
    except NameTaken:
        label = free_label(name, lambda one: bool(archive.entries(one)))
        return label, archive.take(entries, label=label, key=key)

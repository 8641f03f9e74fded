"""Jobs on their way between machines: exported only where they are as recorded, sealed, and with what was removed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.errors import UsageError
from assistant.facts import key_of
from assistant.record.exchange import Export, ForgedExport, Travelling, export_line, read_export
from assistant.record.log import LeafKind, Signer
from assistant.record.seal import NoSeal, Seal, opened, seal_holds, sealed
from assistant.record.texts import texts_of
from assistant.record.verify import removals_of, short, verify_head, verify_job
from assistant.wiring.keys import is_signed

if TYPE_CHECKING:  # the ports bring the arithmetic of sound with them
    from assistant.ports import Archive

LEAST_DIGITS = 16
"""Of a key, so that no other begins like it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """The file's content, how many jobs are in it, and why others are not, a sentence each."""

    content: bytes
    count: int
    left_out: tuple[str, ...]


def make_export(archive: Archive, jobs: Sequence[str], signer: Signer | None, *, personal: bool = True) -> Exported:
    """These jobs as one sealed file. Raises UsageError for an unknown one."""
    lines: list[str] = []
    left_out = list(verify_head(archive, is_signed).wrong)
    written: set[str] = set()
    for job in jobs if not left_out else ():
        entries = archive.entries(job)
        if not entries:
            raise UsageError(f"There is no job '{job}'; `hoodside jobs list` names them.")
        wrong = verify_job(archive, job).wrong
        if wrong:
            left_out.append(f"job '{job}' was left out: {wrong[0]}")
            continue
        texts = {digest: text for digest, text in texts_of(entries, archive.text).items() if digest not in written}
        written |= texts.keys()
        removals = removals_of(archive.logged(job))
        lines.append(export_line(entries, personal=personal, removals=removals, texts=texts))
    content = sealed("".join(lines).encode(), "export", Seal(log=archive.log_head()), signer)
    return Exported(content=content, count=len(lines), left_out=tuple(left_out))


def open_export(content: bytes) -> tuple[Export, bytes]:
    """What a file holds, checked, and the key that vouches for it; empty where nobody does.

    Raises ForgedExport: no export, changed, cut, or with a seal that does not fit.
    """
    key = b""
    try:
        kind, inside, seal = opened(content)
        if kind != "export":
            raise ForgedExport("this is a report, not an export")
        if seal.key and not seal_holds(inside, seal, is_signed):
            raise ForgedExport("its seal does not fit what it holds: it was changed after it was made")
        content, key = inside, seal.key
    except NoSeal:
        if b'{"seal":' in content:
            raise ForgedExport("its seal cannot be read, or something stands behind it") from None
    try:
        return read_export(content.decode("utf-8")), key
    except UnicodeDecodeError as reason:
        raise ForgedExport("this is not text in UTF-8") from reason


def follow_removals(
    archive: Archive, one: Travelling, key: bytes, known: Sequence[str] = (), *, ours: bytes = b""
) -> tuple[str, ...]:
    """Remove here what was removed where the job comes from; a sentence for each thing done, or not done and why.

    Followed are those that a key asked for which this job came from, or our own; and `known`, by their first digits.
    """
    job, name = key_of(one.entries[0].id, 1), one.entries[0].job
    leaves = tuple(archive.logged(job))
    here = {(int(number), str(place)) for done in removals_of(leaves) for number, place in done["removed"]}
    came = [leaf.told() for leaf in leaves if leaf.kind == LeafKind.TAKEN and leaf.holds]
    vouched = {str(told.get("key")) for told in came if told.get("key")} | ({ours.hex()} if ours else set())
    told: list[str] = []
    for removal in one.removals:
        places = [(int(number), str(place)) for number, place in removal["removed"]]
        asked = str(removal["key"])
        if set(places) <= here:
            continue
        trusted = bool(key) and key.hex() in vouched
        if not trusted and not any(
            len(digits) >= LEAST_DIGITS and asked.startswith(digits.lower()) for digits in known
        ):
            by = f"the key {short(bytes.fromhex(asked))}" if asked else "a machine without a key"
            told.append(
                f"{len(places)} values of job '{name}' were removed on request with {by}, from which this job did not "
                "come: they were left here; see --removals-of"
            )
            continue
        done = archive.follow_removal(job, places, key=bytes.fromhex(asked), utc=str(removal["utc"]))
        told.append(f"removed {done.values} values of job '{name}', as was asked on {str(removal['utc'])[:10]}")
        here |= set(places)
    return tuple(told)

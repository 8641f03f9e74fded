"""Personal values removed for good: asked for here, or where the job came from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from assistant.desk.found import entries_of
from assistant.facts import key_of
from assistant.record.exchange import Travelling
from assistant.record.log import LeafKind
from assistant.record.personal import Belonging, Removal
from assistant.record.verify import removals_of, short

if TYPE_CHECKING:  # the ports bring the arithmetic of sound with them
    from assistant.ports import Archive

LEAST_DIGITS = 16
"""Of a key, so that no other begins like it."""


def forget(archive: Archive, job: str, *, words: bool, staff: bool) -> Removal:
    """Remove plate, VIN and owner; `words`: what was dictated too, and sound; `staff`: who did the work too.

    Raises UsageError for an unknown job, RecordError.
    """
    entries_of(archive, job)
    asked = ((Belonging.OWNER, True), (Belonging.WORDS, words), (Belonging.STAFF, staff))
    return archive.remove_personal(job, tuple(kind for kind, wanted in asked if wanted))


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

"""Which of the facts handed in are new, and what keeps them: the rules of appending, for every journal alike."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from assistant.errors import RecordError
from assistant.facts import Fact
from assistant.record.chain import Entry, Head, entry_after, same_fact

SPOKEN_MIX_UP = "I cannot keep the record: facts are mixed up. Stopping."


def admit(
    facts: Sequence[Fact],
    *,
    kept: Callable[[str], Entry | None],
    head: Callable[[str], Head],
    recorded_utc: str,
) -> tuple[Entry, ...]:
    """The entries to add, in order; facts that are kept already are left out.

    `kept`: the entry under a fact's id. `head`: where a job's chain ends.
    Raises RecordError: a gap in numbers, another fact under the same id or number, data that JSON cannot hold.
    """
    added: dict[str, Entry] = {}
    heads: dict[str, Head] = {}
    for fact in facts:
        if not _is_text(fact.id) or not _is_text(fact.job):
            raise _refused("an id and a job's name must be text")
        known = added.get(fact.id) or kept(fact.id)
        if known is not None:
            if not same_fact(known, fact):
                raise _refused(f"another fact is already kept under the id {fact.id!r}")
            continue
        before = heads[fact.job] if fact.job in heads else head(fact.job)
        if fact.number <= before.number:
            raise _refused(f"job '{fact.job}' already has another fact {fact.number}")
        try:
            entry = entry_after(before, fact, recorded_utc)
        except (ValueError, TypeError, RecursionError) as reason:
            raise _refused(str(reason)) from reason
        added[fact.id] = entry
        heads[fact.job] = Head(number=entry.number, hash=entry.hash)
    return tuple(added.values())


def take_over(
    incoming: Sequence[Entry], here: Sequence[Entry], *, kept: Callable[[str], Entry | None]
) -> tuple[Entry, ...]:
    """The entries of a checked chain from elsewhere that are new here: all, the rest, or none.

    `here`: the job's chain as kept here. Raises RecordError when the job had another history here, or an id is taken.
    """
    for theirs, ours in zip(incoming, here, strict=False):
        if theirs.hash != ours.hash:
            raise _refused(
                f"job '{theirs.job}' is kept here with another history: fact {theirs.number} differs", spoken=None
            )
    new = tuple(incoming[len(here) :])
    taken = next((entry for entry in new if kept(entry.id) is not None), None)
    if taken is not None:
        raise _refused(f"the id {taken.id!r} is taken by another job", spoken=None)
    return new


def _is_text(name: str) -> bool:
    try:
        return bool(name.encode("utf-8"))
    except UnicodeEncodeError:
        return False


def _refused(reason: str, spoken: str | None = SPOKEN_MIX_UP) -> RecordError:
    return RecordError(f"The record could not be kept: {reason}; nothing was added.", spoken=spoken)

"""Which of the facts handed in are new, and what keeps them: the rules of appending, for every journal alike.

A job is its random key, the head of every fact's id; its name is a label, which two jobs of two machines may share.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from assistant.errors import RecordError
from assistant.facts import Fact, key_of
from assistant.record.chain import Entry, Head, entry_after, same_fact

SPOKEN_MIX_UP = "I cannot keep the record: facts are mixed up. Stopping."


LONGEST_NAME = 200
"""Characters of the name of a job that begins: every store must be able to hold it and to find it again. Judgement."""


class NameTaken(RecordError):
    """Another job has this name here: take the chain under another label."""


def admit(
    facts: Sequence[Fact],
    *,
    kept: Callable[[str], Entry | None],
    head: Callable[[str, str], Head],
    recorded_utc: str,
) -> tuple[Entry, ...]:
    """The entries to add, in order; facts that are kept already are left out.

    `kept`: the entry under a fact's id. `head`: where the chain of the job ends, by its key, else by its name.
    Raises RecordError: a gap in numbers, another fact under the same id or number, data that JSON cannot hold.
    """
    added: dict[str, Entry] = {}
    heads: dict[str, Head] = {}
    for fact in facts:
        if not is_text(fact.id) or not is_text(fact.job):
            raise _refused("an id and a job's name must be text")
        if fact.number == 1 and not is_name(fact.job):
            raise _refused(NO_NAME)
        known = added.get(fact.id) or kept(fact.id)
        if known is not None:
            if not same_fact(known, fact):
                raise _refused(f"another fact is already kept under the id {fact.id!r}")
            continue
        key = key_of(fact.id, fact.number)
        before = heads[fact.job] if fact.job in heads else head(key, fact.job)
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

    `here`: the chain that is kept here under its key, else under its name. Raises NameTaken when that is another job,
    RecordError when the job had another history here, or an id is taken.
    """
    if here and key_of(here[0].id, 1) != key_of(incoming[0].id, 1):
        raise NameTaken(f"There is another job '{incoming[0].job}' here; nothing was added.")
    for theirs, ours in zip(incoming, here, strict=False):
        if theirs.hash != ours.hash:
            raise _refused(
                f"job '{theirs.job}' is kept here with another history: fact {theirs.number} differs", spoken=None
            )
    new = tuple(incoming[len(here) :])
    if new and not here and not is_name(new[0].job):
        raise _refused(NO_NAME, spoken=None)
    taken = next((entry for entry in new if kept(entry.id) is not None), None)
    if taken is not None:
        raise _refused(f"the id {taken.id!r} is taken by another job", spoken=None)
    return new


def free_label(name: str, taken: Callable[[str], bool]) -> str:
    """The name, with the first number behind it that makes it free: `grey-hatchback (2)`."""
    label, count = name, 1
    while taken(label):
        count += 1
        label = f"{name} ({count})"
    return label


def is_text(name: str) -> bool:
    """Whether it may be an id or a name: text that a store can hold, and not empty."""
    try:
        return bool(name.encode("utf-8"))
    except UnicodeEncodeError:
        return False


NO_NAME = f"a job's name has at most {LONGEST_NAME} characters, and no NUL among them"


def is_name(name: str) -> bool:
    """Whether a job may begin under it in every store."""
    return is_text(name) and len(name) <= LONGEST_NAME and "\x00" not in name


def _refused(reason: str, spoken: str | None = SPOKEN_MIX_UP) -> RecordError:
    return RecordError(f"The record could not be kept: {reason}; nothing was added.", spoken=spoken)

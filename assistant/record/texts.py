"""The texts that led a job, bound to it: its first fact names each by its SHA-256, and the store keeps each once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from assistant.facts import Fact, JobStarted, read_legibly
from assistant.procedure.digest import digest_of
from assistant.record.chain import UNREADABLE, Entry

MOST_NAMED = 5


def named_texts(entries: Sequence[Entry]) -> Mapping[str, str]:
    """Id -> digest of the procedures that the job was begun with; empty for jobs older than that."""
    try:
        first = entries[0].fact() if entries else None
    except UNREADABLE:
        return {}
    return (_started(first).texts or {}) if first is not None else {}


def named_model(entries: Sequence[Entry]) -> str | None:
    """The digest of the fault model that the job was begun with, or None."""
    try:
        return (_started(entries[0].fact()).model or None) if entries else None
    except UNREADABLE:
        return None


def file_of(first: Fact) -> str | None:
    """Where the procedure lay that the job was begun with; None for a shipped one."""
    return _started(first).file or None


def _started(first: Fact) -> JobStarted:
    """What the job was begun with as far as it can be read; nothing where its first fact is of another kind."""
    said = first.legible
    return said if isinstance(said, JobStarted) else read_legibly(JobStarted, {})


def texts_of(entries: Sequence[Entry], text: Callable[[str], str | None]) -> dict[str, str]:
    """The texts that the job names, by digest, as far as they are kept."""
    model = named_model(entries)
    named = sorted({*named_texts(entries).values(), *([model] if model else [])})
    return {digest: found for digest in named if (found := text(digest)) is not None}


def text_faults(entries: Sequence[Entry], text: Callable[[str], str | None]) -> Iterator[str]:
    """One sentence for each text that the job names and that is not what it names."""
    model = named_model(entries)
    named = [*named_texts(entries).items(), *([("its fault model", model)] if model else [])]
    kept = {name: text(digest) for name, digest in named}
    gone = [name for name, found in kept.items() if found is None]
    if gone:
        yield f"job '{entries[0].job}': texts that led it are gone: {_listed(gone)}"
    changed = [name for name, digest in named if kept[name] is not None and digest_of(kept[name] or "") != digest]
    if changed:
        yield f"job '{entries[0].job}': texts that led it were changed: {_listed(changed)}"


def _listed(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")

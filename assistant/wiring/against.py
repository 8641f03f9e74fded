"""A report or export that left the shop against the store: where chain and log ended, its seal, and what it says."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.facts import fact_from_plain, key_of
from assistant.ports import Archive
from assistant.record.chain import UNREADABLE, Entry, against, same_fact
from assistant.record.exchange import ForgedExport, read_export
from assistant.record.log import LeafKind, absent_of
from assistant.record.page.model import Paper
from assistant.record.page.photographs import photographs_of, without_images
from assistant.record.photographs import Photographs
from assistant.record.seal import NoSeal, Seal, opened, seal_holds
from assistant.record.verify import Verdict, short, verify_older
from assistant.wiring.documents import document, made_by, none_at_hand, record_from
from assistant.wiring.keys import is_signed

IT = "the report"


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Which jobs a document is of, and what came of comparing it."""

    jobs: tuple[str, ...]
    verdict: Verdict


def compare_sealed(
    archive: Archive, made: bytes, asked: Sequence[str], pictures: Photographs = none_at_hand
) -> Compared:
    """A sealed document against the store. `asked`: the jobs that it should be of; empty for any. `pictures`: where the
    photographs are found that a PDF shows. Raises NoSeal."""
    kind, content, seal = opened(made)
    if kind == "export":
        return _compare_export(archive, content, seal, asked)
    entries = archive.entries(seal.job_key)
    verdict = _wrong_job(archive, seal, asked)
    ended = against(entries, seal.head)
    if not entries:
        ended = f"there is no job '{seal.job}' in this store, and {IT} is of it"
    if ended:
        verdict += Verdict(wrong=(ended,))
    verdict += verify_older(archive, seal.log, IT)
    held = _sealed_by(archive, content, seal)
    part = entries[: seal.head.number]
    if part and not ended:
        if kind == "json":
            verdict += _compare_facts(content, part)
        proved = not held.wrong and not held.told
        held += _compare_words(archive, kind, content, seal, part, pictures=pictures, proved=proved)
    return Compared(jobs=tuple(asked) or (seal.job_key,), verdict=verdict + held)


def compare_unsealed(archive: Archive, made: bytes, job: str, number: int) -> Verdict:
    """A report without a seal: honest only where it is older than seals are, and then it proves but its chain's end."""
    began = max((leaf.number for leaf in archive.logged(job) if leaf.kind == LeafKind.FOUND), default=0)
    if number > began:
        return Verdict(wrong=(f"{IT} carries no seal, as every one of its time does: it was taken off or broken",))
    told = f"{IT} is older than seals are: where its chain ended was compared, and of its words only facts in JSON"
    found = Verdict(told=(told,))
    return found + _compare_facts(made, archive.entries(job)[:number]) if made.lstrip().startswith(b"{") else found


def _sealed_by(archive: Archive, content: bytes, seal: Seal) -> Verdict:
    """Whether its seal holds, by a key that signed this store, or that vouched for the job when it was taken in."""
    if not seal.key:
        return Verdict(told=(f"{IT} is not signed",))
    if not seal_holds(content, seal, is_signed):
        return Verdict(wrong=(f"the seal of {IT} does not fit what it says: one of them was changed",))
    own = {archive.log_head().key.hex(), *(str(leaf.told().get("key")) for leaf in archive.key_leaves() if leaf.holds)}
    taken = (leaf.told() for leaf in archive.logged(seal.job_key) if leaf.kind == LeafKind.TAKEN and leaf.holds)
    if seal.key.hex() in own | {str(told.get("key")) for told in taken}:
        return Verdict()
    return Verdict(told=(f"{IT} is signed with the key {short(seal.key)}, which is none of this store's",))


def _compare_facts(report: bytes, entries: Sequence[Entry]) -> Verdict:
    """Each fact that a JSON report holds against the one that is kept; what was removed since is left out."""
    try:
        facts = [fact_from_plain(one) for one in json.loads(report)["facts"]]
    except UNREADABLE:
        return Verdict(wrong=(f"the facts of {IT} cannot be read",))
    wrong = [
        f"fact {fact.number} is not what {IT} says"
        for fact, entry in zip(facts, entries, strict=False)
        if not same_fact(entry, fact)
    ]
    if len(facts) != len(entries):
        wrong.append(f"{IT} holds {len(facts)} facts, and its chain has {len(entries)}")
    return Verdict(wrong=tuple(wrong))


def _compare_words(
    archive: Archive,
    kind: str,
    content: bytes,
    seal: Seal,
    entries: Sequence[Entry],
    *,
    pictures: Photographs,
    proved: bool,
) -> Verdict:
    """The whole document made anew from the store. `proved`: a key of this store signed it, so it need not be the same
    where another version words it, values were removed since, or a photograph on paper is not at hand."""
    record = replace(record_from(archive, entries, replace(seal.log, key=seal.key)), job=seal.job)
    paper = next((one for one in Paper if made_by(record, kind, one) == seal.made_by), None)
    lacks = kind == "pdf" and any(pictures(record.job, one.name) is None for one in photographs_of(record))
    if paper is None or absent_of(entries) or lacks:
        if proved:
            return Verdict()
        return Verdict(
            wrong=(f"what {IT} says cannot be proved: no key of this store signed it, and it cannot be made anew",)
        )
    anew = document(record, kind, paper, pictures=pictures) if kind == "pdf" else document(record, kind, paper)
    if kind == "html":
        content, wrong = without_images(content)
        if wrong:
            return Verdict(wrong=tuple(f"the photograph {name} in {IT} was changed" for name in wrong))
    same = _json(anew) == _json(content) if kind == "json" else anew == content
    return Verdict() if same else Verdict(wrong=(f"{IT} does not say what the record says",))


def _json(text: bytes) -> object:
    told = json.loads(text)
    told.pop("seal", None)
    return told


def _compare_export(archive: Archive, content: bytes, seal: Seal, asked: Sequence[str]) -> Compared:
    verdict = verify_older(archive, seal.log, "the export") + _sealed_by(archive, content, seal)
    try:
        export = read_export(content.decode("utf-8"))
    except (ForgedExport, UnicodeDecodeError) as reason:
        return Compared(jobs=tuple(asked), verdict=verdict + Verdict(wrong=(f"the export is not whole: {reason}",)))
    chains = {key_of(one.entries[0].id, 1): one.entries for one in export.jobs}
    wanted = {key_of(kept[0].id, 1) for job in asked if (kept := archive.entries(job))}
    for key, entries in chains.items():
        if not asked or key in wanted:
            verdict += _compare_chains(entries, archive.entries(key))
    missing = [job for job in asked if (kept := archive.entries(job)) and key_of(kept[0].id, 1) not in chains]
    verdict += Verdict(wrong=tuple(f"the export is not of job '{job}'" for job in missing))
    return Compared(jobs=tuple(asked) or tuple(key for key in chains if archive.entries(key)), verdict=verdict)


def _compare_chains(theirs: Sequence[Entry], ours: Sequence[Entry]) -> Verdict:
    job = theirs[0].job
    if not ours:
        return Verdict(wrong=(f"there is no job '{job}' in this store, and the export holds it",))
    if len(ours) < len(theirs):
        return Verdict(wrong=(f"the export holds {len(theirs)} facts of job '{job}', and only {len(ours)} are kept",))
    wrong: list[str] = []
    for one, kept in zip(theirs, ours, strict=False):
        values = {each.place: each.value for each in kept.apart}
        differs = any(each.value and values.get(each.place) not in (None, each.value) for each in one.apart)
        if one.hash != kept.hash or differs:
            wrong.append(f"fact {one.number} of job '{job}' is not what the export says")
    return Verdict(wrong=tuple(wrong))


def _wrong_job(archive: Archive, seal: Seal, asked: Sequence[str]) -> Verdict:
    """Whether it is of the jobs that were asked about: by their keys, whatever they are called."""
    keys = [key_of(entries[0].id, 1) for job in asked if (entries := archive.entries(job))]
    if not asked or keys == [seal.job_key]:
        return Verdict()
    return Verdict(wrong=(f"{IT} is of job '{seal.job}', and not of {', '.join(repr(job) for job in asked)}",))


__all__ = ["Compared", "NoSeal", "compare_sealed", "compare_unsealed"]

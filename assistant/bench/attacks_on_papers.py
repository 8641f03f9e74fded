"""Attacks on what left the shop: reports and exports, handed back to be compared or imported."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.signer_ed25519 import is_signed
from assistant.bench.attack_world import ENDED, NOTE, OTHER, World, moment, utc
from assistant.bench.attacks_on_store import Attack, noticed
from assistant.desk.forgetting import follow_removals
from assistant.desk.taking_in import open_export
from assistant.facts import NoteTaken
from assistant.record.chain import NO_HASH, link
from assistant.record.exchange import ForgedExport
from assistant.record.seal import opened, sealed
from assistant.record.verify import Verdict
from assistant.wiring.documents import record_of, sealed_document


def _replace(name: str, old: bytes, new: bytes) -> Callable[[World], None]:
    def attack(world: World) -> None:
        paper = world.out / name
        made = paper.read_bytes()
        if old not in made:
            raise ValueError(f"{name} does not say {old!r}")
        paper.write_bytes(made.replace(old, new))

    return attack


def _resealed(name: str, key: str) -> Callable[[World], None]:
    """The reading altered, and a seal of the same heads made over it with another key."""

    def attack(world: World) -> None:
        kind, content, seal = opened((world.out / name).read_bytes())
        altered = content.replace(b"12.4", b"12.9")
        if kind == "json":
            altered = json.dumps(json.loads(altered), indent=1).encode()
        (world.out / name).write_bytes(sealed(altered, kind, replace(seal, signature=b""), world.key(key)))

    return attack


def _unsealed(name: str, cut_from: bytes) -> Callable[[World], None]:
    def attack(world: World) -> None:
        paper = world.out / name
        made = paper.read_bytes().replace(b"12.4", b"12.9")
        paper.write_bytes(made[: made.rindex(cut_from)])

    return attack


def _anothers_seal(world: World) -> None:
    """Another job's pages under the genuine seal of this one."""
    own, other = ((world.out / f"{job}.html").read_bytes() for job in (ENDED, OTHER))
    at = b"<!-- hoodside-seal"
    (world.out / f"{ENDED}.html").write_bytes(other[: other.rindex(at)] + own[own.rindex(at) :])


def _pdf(world: World, alter: Callable[[bytes], bytes]) -> None:
    journal = world.open(reading=True)
    try:
        key = world.key()
        made = sealed_document(record_of(journal, ENDED, key.key), "pdf", journal.log_head(), key)
    finally:
        journal.close()
    (world.out / f"{ENDED}.pdf").write_bytes(alter(made))


def _pdf_altered(world: World) -> None:
    _pdf(world, lambda made: made.replace(b"/Title", b"/TitlE", 1))


def _pdf_forged(world: World) -> None:
    """Pages of another make under the genuine seal."""
    _pdf(world, lambda made: b"%PDF-1.7\n% a page that says 12.9 V\n" + made[made.rindex(b"\n%hoodside-seal") :])


def _import(alter: Callable[[bytes, World], bytes]) -> Callable[[World], Verdict]:
    """The export altered, then imported on another machine; what that machine says of it."""

    def attack(world: World) -> Verdict:
        try:
            _, key = open_export(alter((world.out / "all.jsonl").read_bytes(), world), is_signed)
        except ForgedExport as reason:
            return noticed(f"import refuses it: {reason}")
        if not key:
            return Verdict(told=("import says that nobody vouches for it",))
        if key != world.key().key:
            return Verdict(told=("import names the key that vouches, which is not the shop's",))
        return Verdict()

    return attack


def _body_changed(made: bytes, world: World) -> bytes:
    return made.replace(b'\\"value\\":12.4', b'\\"value\\":12.9')


def _chain_rewritten(made: bytes, world: World) -> bytes:
    """Every chain made to fit the altered readings, under the old seal."""
    lines = made.splitlines(keepends=True)
    return b"".join(_relinked(line) if b'"facts"' in line else line for line in lines)


def _relinked(line: bytes) -> bytes:
    told, before = json.loads(line), NO_HASH
    for fact in told["facts"]:
        fact["body"] = fact["body"].replace('"value":12.4', '"value":12.9')
        before = link(before, fact["recorded_utc"], fact["body"])
        fact["hash"] = before.hex()
    told["chain"]["hash"] = before.hex()
    return json.dumps(told).encode() + b"\n"


def _without_seal(made: bytes, world: World) -> bytes:
    return _chain_rewritten(made[: made.rindex(b'{"seal":')], world)


def _with_own_seal(made: bytes, world: World) -> bytes:
    _, content, seal = opened(made)
    return sealed(_chain_rewritten(content, world), "export", replace(seal, signature=b""), world.key("attacker"))


def _job_left_out(made: bytes, world: World) -> bytes:
    return b"".join(made.splitlines(keepends=True)[1:])


def _text_changed(made: bytes, world: World) -> bytes:
    return made.replace(b'"texts": {', b'"texts": {"' + b"0" * 64 + b'": "always", ', 1)


def _removal_forged(world: World) -> Verdict:
    """A removal that nobody asked for, vouched for by a key of the attacker's own, for a job that began here."""
    _, content, seal = opened((world.out / "all.jsonl").read_bytes())
    first, *others = content.splitlines(keepends=True)
    told = json.loads(first)
    attacker = world.key("attacker")
    told["removals"] = [{"removed": [[7, "/words"]], "utc": utc(), "key": attacker.key.hex()}]
    forged = sealed(
        b"".join([json.dumps(told).encode() + b"\n", *others]), "export", replace(seal, signature=b""), attacker
    )
    export, key = open_export(forged, is_signed)
    journal = SqliteJournal(world.data, utc, signer=world.key(), moment=moment)
    try:
        said = follow_removals(journal, export.jobs[0], key, ours=world.key().key)
        kept = NOTE in [note.words for fact in journal.facts(ENDED) if isinstance(note := fact.said, NoteTaken)]
    finally:
        journal.close()
    return noticed("import leaves the words where they are and names the key" if kept and said else "")


def _nothing(world: World) -> None:
    """Nothing is changed: what is handed in is the attack."""


PAPERS: tuple[Attack, ...] = (
    Attack(
        name="a reading altered under the genuine head, HTML",
        on="report",
        does=_replace("blue-van.html", b"12.4", b"12.9"),
    ),
    Attack(
        name="a reading altered under the genuine head, JSON",
        on="report",
        does=_replace("blue-van.json", b"12.4", b"12.9"),
        paper="blue-van.json",
    ),
    Attack(
        name="a reading altered under the genuine head, CSV",
        on="report",
        does=_replace("blue-van.csv", b"12.4", b"12.9"),
        paper="blue-van.csv",
    ),
    Attack(
        name="a reading altered under the genuine head, invoice",
        on="report",
        does=_replace("blue-van.invoice", b"12.4", b"12.9"),
        paper="blue-van.invoice",
    ),
    Attack(name="a PDF altered", on="report", does=_pdf_altered, paper="blue-van.pdf"),
    Attack(name="forged pages under a PDF's genuine seal", on="report", does=_pdf_forged, paper="blue-van.pdf"),
    Attack(name="another job's report handed in", on="report", does=_nothing, paper=f"{OTHER}.html"),
    Attack(name="another job's pages under this one's seal", on="report", does=_anothers_seal),
    Attack(
        name="the seal cut off, a reading altered, HTML", on="report", does=_unsealed("blue-van.html", b"<!-- hood")
    ),
    Attack(
        name="a reading altered, sealed with a key of their own, HTML",
        on="report",
        does=_resealed("blue-van.html", "attacker"),
    ),
    Attack(
        name="a reading altered, sealed with a key of their own, JSON",
        on="report",
        does=_resealed("blue-van.json", "attacker"),
        paper="blue-van.json",
    ),
    Attack(name="a reading altered, sealed with the shop's key", on="report", does=_resealed("blue-van.html", "keys")),
    Attack(
        name="words altered on a sheet of paper",
        on="report",
        does=_nothing,
        why_not="a sheet carries no signature that a machine reads: compare it by eye with a new report",
    ),
    Attack(name="a reading altered in an export", on="export", does=_import(_body_changed)),
    Attack(name="an export's chains rewritten under its seal", on="export", does=_import(_chain_rewritten)),
    Attack(name="the same with the seal cut off", on="export", does=_import(_without_seal)),
    Attack(name="the same with a key of their own", on="export", does=_import(_with_own_seal)),
    Attack(name="a job left out of an export", on="export", does=_import(_job_left_out)),
    Attack(name="a procedure's text slipped into an export", on="export", does=_import(_text_changed)),
    Attack(name="a removal slipped into an export", on="export", does=_removal_forged),
)

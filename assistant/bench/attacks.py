"""What an attacker can do to records, and what finds it: every attack is made on an invented shop, and every check run.

Nothing in the table is written down beforehand but why something cannot be found: what is found is what the checks of
`jobs verify`, `jobs import` and `report` say of the store or paper that was attacked. The command ends with 1 where
something goes unfound that no reason was given for.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from importlib.util import find_spec
from pathlib import Path

import click

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.bench.attack_world import ENDED, World, build
from assistant.bench.attacks_on_clock import CLOCK
from assistant.bench.attacks_on_papers import PAPERS
from assistant.bench.attacks_on_store import STORE, Attack
from assistant.errors import RecordError
from assistant.record.exchange import ForgedExport
from assistant.record.seal import NoSeal
from assistant.record.verify import Verdict
from assistant.record.wording import fitted
from assistant.wiring.against import compare_sealed, compare_unsealed
from assistant.wiring.verifying import verify_store

ATTACKS = (*STORE, *CLOCK, *PAPERS)
FOUND, TOLD, NOT_FINDABLE, UNFOUND = "found", "told", "not findable", "NOT FOUND"
NEEDS_TYPST = "pdf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One attack. `by`: which checks say so, or why nothing can. `says`: the first sentence of the first check."""

    attack: str
    on: str
    answer: str
    by: str
    says: str = ""


def measure_attacks(folder: Path | None = None) -> tuple[Row, ...]:
    """The table. `folder`: where to work."""
    with tempfile.TemporaryDirectory(prefix="hoodside-attacks-", dir=folder) as made:
        whole = World(root=Path(made) / "whole")
        build(whole)
        before = dict(_checks(whole, STORE[0]))
        wrong = [words for verdict in before.values() for words in verdict.wrong]
        if wrong:
            raise RuntimeError(f"the invented shop is not sound: {wrong[0]}")
        return tuple(_row(one, whole, Path(made) / f"{number}") for number, one in enumerate(ATTACKS))


def _row(attack: Attack, whole: World, place: Path) -> Row:
    if attack.paper.endswith(NEEDS_TYPST) and find_spec("typst") is None:
        return Row(attack=attack.name, on=attack.on, answer="not tried", by="the package typst is not installed")
    # The memory of where the log ended goes by the folder's path, so the attack is made where the shop stands.
    kept = place.with_name(f"{place.name}-kept")
    shutil.copytree(whole.root, kept)
    try:
        noticed = attack.does(whole) or Verdict()
        found: list[tuple[str, str]] = []
        told: list[tuple[str, str]] = []
        for check, verdict in (("the program", noticed), *_checks(whole, attack)):
            found += [(check, verdict.wrong[0])] if verdict.wrong else []
            told += [(check, verdict.told[0])] if verdict.told else []
    finally:
        shutil.rmtree(whole.root)
        kept.replace(whole.root)
    for answer, by in ((FOUND, found), (TOLD, told)):
        if by:
            checks = ", ".join(dict.fromkeys(check for check, _ in by))
            return Row(attack=attack.name, on=attack.on, answer=answer, by=checks, says=by[0][1])
    if attack.why_not:
        return Row(attack=attack.name, on=attack.on, answer=NOT_FINDABLE, by=attack.why_not)
    return Row(attack=attack.name, on=attack.on, answer=UNFOUND, by="")


def _checks(world: World, attack: Attack) -> Iterator[tuple[str, Verdict]]:
    """Each check by its name: the store by itself, then against what left the shop."""
    try:
        journal = SqliteJournal(world.data, str, reading=True)
    except RecordError as error:
        yield "opening it", Verdict(wrong=(str(error),))
        return
    try:
        yield "verify", _told(lambda: verify_store(journal, (), world.data, seen=world.seen).verdict)
        paper, export = world.out / attack.paper, world.out / "all.jsonl"
        if attack.on != "export":
            for path, job in ((paper, attack.job), (export, None)):
                if path.exists():
                    yield f"against {path.name}", _told(lambda path=path, job=job: _against(journal, path, job))
    finally:
        journal.close()


def _told(check: object) -> Verdict:
    """What the check says; a store that can no longer be read at all is wrong as well."""
    try:
        return check()  # type: ignore[operator,no-any-return]  # called with nothing
    except (RecordError, ForgedExport, LookupError, ValueError) as error:
        return Verdict(wrong=(str(error),))


def _against(journal: SqliteJournal, paper: Path, job: str | None) -> Verdict:
    made = paper.read_bytes()
    try:
        return compare_sealed(journal, made, (job,) if job else ()).verdict
    except NoSeal:
        return compare_unsealed(journal, made, job or ENDED, len(journal.entries(job or ENDED)))


def table(rows: Sequence[Row]) -> str:
    """The table as lines to read."""
    lines: list[str] = []
    for number, row in enumerate(rows, start=1):
        lines.append(fitted(f"{number:2}. {row.answer.upper()}  {row.on}: {row.attack}"))
        says = f": {row.says.rstrip('.')}" if row.says else ""
        lines.append(fitted(f"    {row.by}{says}."))
    counts = {answer: sum(row.answer == answer for row in rows) for answer in (FOUND, TOLD, NOT_FINDABLE, UNFOUND)}
    lines.append(", ".join(f"{count} {answer}" for answer, count in counts.items()) + f", of {len(rows)} attacks")
    return "\n".join(lines)


@click.command(epilog="Example: hoodside bench attacks")
@click.option("--json", "as_json", is_flag=True, help="JSON lines.")
def command(as_json: bool) -> int:
    """What an attacker can do to store, reports, exports, sound and clock, and what finds it."""
    rows = measure_attacks()
    if as_json:
        for row in rows:
            click.echo(json.dumps(asdict(row)))
    else:
        click.echo(table(rows))
    return int(any(row.answer == UNFOUND for row in rows))

"""`hoodside jobs verify`: what can be proved of the store, and what cannot."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.cli import _options
from assistant.cli._heads import read_heads
from assistant.cli._known import keys_beginning, known_key
from assistant.errors import UsageError
from assistant.record.chain import against
from assistant.record.log import LogHead
from assistant.record.seal import NoSeal, opened
from assistant.record.verify import Verdict, short
from assistant.record.wording import fitted, printable
from assistant.wiring import holds_records, install_key, look_into_journal, open_journal, remembered
from assistant.wiring.folders import data_folder
from assistant.wiring.keys import know_keys
from assistant.wiring.verifying import Checked, verify_store

if TYPE_CHECKING:  # the ports bring the arithmetic of sound with them
    from assistant.ports import Archive

CANNOT_ALONE = (
    "Nobody without the key of this installation can have changed that. Whoever has the key, or the whole machine, "
    "could have made all of it anew: that shows against any report or export kept elsewhere (--against)."
)
CANNOT_UNSIGNED = (
    "It is not signed, so whoever may write the store could have made all of it anew: that shows against any report or "
    "export kept elsewhere (--against)."
)
CANNOT_AGAINST = (
    "All that was in the store when that document was made is still there, unchanged, in its order. What came after it "
    "is as sure as the key."
)
CANNOT_ONE = "That nothing else is gone from the store shows only where all of it is checked: hoodside jobs verify"


@click.command("verify", epilog="Example: hoodside jobs verify grey-hatchback --against grey-hatchback.pdf")
@click.argument("jobs", nargs=-1)
@click.option(
    "--against",
    "report",
    metavar="REPORT",
    help="A report (JSON, HTML, PDF, CSV), an export, or NUMBER:HASH off paper.",
)
@click.option(
    "--arrived",
    type=click.DateTime(["%Y-%m-%d", "%Y-%m-%dT%H:%M"]),
    help="When REPORT arrived elsewhere, by a clock there: finds times of day that cannot be.",
)
@known_key
@click.option(
    "--accept-store", is_flag=True, help="I put this store here myself: forget what was remembered of another."
)
@click.option("--shop", is_flag=True, help="Check the shop's server in its place, as hoodside shop verify does.")
@_options.data
def verify(
    *,
    jobs: tuple[str, ...],
    report: str | None,
    arrived: datetime | None,
    keys: tuple[str, ...],
    accept_store: bool,
    shop: bool,
    data: Path | None,
) -> int:
    """Check JOBS, or the whole store: facts, texts, removals, the signed log, the lines that searches read, the sound.

    A report or export is compared whole: where the job's chain and the store's log ended, its seal, and what it says.
    """
    if shop:
        from assistant.cli._shop_care import verify_on_server  # noqa: PLC0415 - only a shop's server needs it

        if jobs or report or keys or accept_store:
            raise UsageError("--shop checks the whole server; leave the other words away.")
        return verify_on_server(data)
    journal = look_into_journal(data)
    try:
        trusted = keys_beginning(journal.key_leaves(), keys)
        verdict, of = Verdict(), jobs
        if report:
            of, verdict = _against(journal, report, jobs, data)
        checked = verify_store(journal, of, data, trusted=trusted, arrived=_arrived(report, arrived))
        know_keys(trusted)
        if accept_store:
            seen = remembered(data_folder(data))
            seen.forget()
            seen.add(journal.log_head(), follows=False)
    finally:
        journal.close()
    verdict += checked.verdict
    for words in dict.fromkeys(verdict.wrong):
        click.echo(f"hoodside: {printable(words)}.", err=True)
    for words in dict.fromkeys(verdict.told):
        click.echo(f"hoodside: note: {printable(words.rstrip('.'))}.", err=True)
    click.echo(_summary(checked, of, verdict))
    if not verdict.wrong:
        click.echo(fitted(_bounds(checked, whole=not jobs and not report, against_it=report is not None)), err=True)
    return 1 if verdict.wrong else 0


@click.command("key", epilog="Example: hoodside jobs key")
@click.option("--replace", "anew", is_flag=True, help="Make another key, signed by this one, which is then gone.")
@_options.data
def show_key(anew: bool, data: Path | None) -> int:
    """Show the key that signs the records of this installation, as reports state it, and where it lies.

    Whoever has that file can sign as you: it is for you alone, and no part of a backup of the records. Write the digits
    down somewhere else; a key that is lost is made anew, and `verify` then asks whether you know it.
    """
    signer = install_key()
    if signer is None:
        return 3
    if anew:
        before, signer = signer.key, signer.replace()
        click.echo(f"Replaced {before.hex()}, which signed the one that follows it.", err=True)
        if holds_records(data):
            open_journal(data).close()  # its log tells of it from now on
    click.echo(signer.key.hex())
    click.echo(f"It lies in {signer.path}.", err=True)
    return 0


def _summary(checked: Checked, jobs: Sequence[str], verdict: Verdict) -> str:
    count = f"{checked.jobs} job" + ("" if checked.jobs == 1 else "s")
    return f"{count} checked: {'NOT as recorded' if verdict.wrong else 'every fact is as it was recorded'}."


def _bounds(checked: Checked, *, whole: bool, against_it: bool) -> str:
    """What the answer does not say."""
    head = checked.head
    signed = f"The log has {head.size} entries, signed with the key {short(head.key)}." if head.key else ""
    bound = CANNOT_AGAINST if against_it else CANNOT_ALONE if head.key else CANNOT_UNSIGNED
    return " ".join(part for part in (signed, bound, "" if whole or against_it else CANNOT_ONE) if part)


def _arrived(report: str | None, when: datetime | None) -> tuple[LogHead, datetime] | None:
    """Where the log ended when the report was made, and when it arrived. Raises UsageError where it does not say so."""
    if when is None:
        return None
    if report is None:
        raise UsageError("--arrived says when a document arrived: name it with --against.")
    try:
        _, _, seal = opened(Path(report).read_bytes())
    except (OSError, NoSeal) as error:
        raise UsageError(f"'{report}' has no seal, so --arrived can prove nothing by it.") from error
    whole_day = timedelta(days=1) if (when.hour, when.minute) == (0, 0) else timedelta()
    return seal.log, (when.astimezone() + whole_day).astimezone(UTC)


def _against(
    journal: Archive, report: str, jobs: tuple[str, ...], data: Path | None
) -> tuple[tuple[str, ...], Verdict]:
    """The jobs to look at, and what came of comparing them with what left the shop."""
    from assistant.wiring.against import compare_sealed, compare_unsealed  # noqa: PLC0415 - it makes documents
    from assistant.wiring.documents import pictures_in  # noqa: PLC0415 - as above

    path = Path(report)
    try:
        made = path.read_bytes() if path.is_file() else None
    except OSError as error:
        raise UsageError(f"'{report}' cannot be read as a report: {error.strerror or error}.") from error
    if made is not None:
        try:
            compared = compare_sealed(journal, made, jobs, pictures_in(data))
        except NoSeal:
            pass
        else:
            return compared.jobs, compared.verdict
    verdict = Verdict()
    heads = read_heads(report, jobs)
    for one in heads:
        if jobs and one.job not in jobs:
            verdict += Verdict(wrong=(f"the report is of job '{one.job}', and not of {', '.join(map(repr, jobs))}",))
            continue
        wrong = against(journal.entries(one.job), one.head)
        if wrong:
            verdict += Verdict(wrong=(wrong,))
        elif made is not None:
            verdict += compare_unsealed(journal, made, one.job, one.head.number)
    return jobs or tuple(dict.fromkeys(one.job for one in heads)), verdict

"""`hoodside shop serve` and what keeps the shop's record well: accounts, versions, copies, retention, verifying."""

from __future__ import annotations

import socket
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.adapters.postgres_server import PORT, PostgresServer
from assistant.cli import _options
from assistant.cli._files import write_whole
from assistant.desk.handing_out import make_export
from assistant.errors import UsageError
from assistant.record.wording import printable, times
from assistant.wiring import install_key
from assistant.wiring.keys import is_signed
from assistant.wiring.shop_keeping import (
    DATABASE,
    ROLES,
    back_up,
    close_account,
    make_account,
    restore,
    serve,
    stop,
    upgrade,
)
from assistant.wiring.shop_server import open_shop
from assistant.wiring.shop_verifying import verify_shop

if TYPE_CHECKING:
    from assistant.adapters.journal_postgres import ShopDesk

DAYS_A_MONTH = 30.44
server = click.option(
    "--server",
    type=click.Path(path_type=Path, file_okay=False),
    required=True,
    metavar="DIR",
    help="The server's folder.",
)
port = click.option("--port", type=click.IntRange(1, 65_535), default=PORT, show_default=True, help="Where it listens.")


@click.command("serve", epilog="Example: hoodside shop serve /srv/hoodside --listen '*' --name shop-server")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--listen", default="localhost", show_default=True, help="Addresses that bays come by; '*' for all.")
@click.option("--name", "names", multiple=True, help="What bays call this machine; also more than once.")
@click.option("--stop", "stopped", is_flag=True, help="Stop it: bays then keep what they record, and send it later.")
@port
def serve_shop(*, folder: Path, listen: str, names: tuple[str, ...], stopped: bool, port: int) -> int:
    """Make the shop's server in FOLDER, where there is none, and start it; it goes on by itself.

    Needs Debian's postgresql (15 or newer), and a user who is not root. --listen and --name count when it is made.
    Say the same again after a reboot, or once there is room again on a full disk.
    """
    if stopped:
        click.echo("Stopped the shop's server." if stop(folder) else "The shop's server did not run.", err=True)
        return 0
    made, had = serve(folder, port=port, listen=listen, names=names)
    click.echo(f"The shop's record {'is there' if had else 'was made'}; the server runs at port {port}.", err=True)
    click.echo(f"Make an account for each bay: hoodside shop account bay-one --bay --server {folder}", err=True)
    click.echo(f"Other machines also need a copy of its certificate: {made.certificate}", err=True)
    return 0


@click.command("account", epilog="Example: hoodside shop account bay-one --bay --server /srv/hoodside")
@click.argument("name")
@click.option("--bay", is_flag=True, help="May add to its own jobs, and read nothing.")
@click.option("--desk", is_flag=True, help="May read everything and hand jobs over.")
@click.option("--owner", is_flag=True, help="May have removals carried out.")
@click.option("--close", is_flag=True, help="Nobody comes in by it any more: for a password that was stolen.")
@server
@port
def account(*, name: str, bay: bool, desk: bool, owner: bool, close: bool, server: Path, port: int) -> int:
    """Make an account on the shop's server, or give it another password, which is told once; or close it."""
    kinds = [kind for kind, wanted in zip(ROLES, (bay, desk, owner), strict=True) if wanted]
    if close == bool(kinds):
        raise UsageError("Say at least one of --bay, --desk and --owner, or --close.")
    if close:
        close_account(PostgresServer(server.resolve(), port=port), name)
        click.echo(f"Closed {name}.", err=True)
        return 0
    password = make_account(PostgresServer(server.resolve(), port=port), name, kinds)
    address = f"postgresql://{name}@{socket.gethostname()}:{port}/{DATABASE}"
    click.echo(f"On its machine: hoodside shop join {address} --certificate shop.crt", err=True)
    click.echo("It asks for this password, which is told only now:", err=True)
    click.echo(password)
    return 0


@click.command("upgrade", epilog="Example: hoodside shop upgrade --server /srv/hoodside")
@click.option("--to", "version", metavar="VERSION", help="A version other than the newest, to go back to.")
@server
@port
def upgrade_shop(version: str | None, server: Path, port: int) -> int:
    """Bring the shop's record to the version that this program knows. Make a backup first."""
    had = upgrade(PostgresServer(server.resolve(), port=port), version)
    click.echo(f"The record had version {had or 'none'}.", err=True)
    return 0


@click.command("backup", epilog="Example: hoodside shop backup --server /srv/hoodside --out /media/stick/shop")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), required=True, help="The folder to write.")
@server
@port
def backup_shop(out: Path, server: Path, port: int) -> int:
    """Copy the shop's record to a folder, also while bays deliver.

    The keys of personal values go into a file of their own, keys.dump: keep only the newest of it, and what was
    removed since is unreadable in every older copy of the record.
    """
    count = back_up(PostgresServer(server.resolve(), port=port), out)
    click.echo(f"Copied {times(count, 'job')} to {out}.", err=True)
    return 0


@click.command("restore", epilog="Example: hoodside shop restore /media/stick/shop --server /srv/hoodside")
@click.argument("backup", type=click.Path(path_type=Path, file_okay=False))
@server
@port
def restore_shop(backup: Path, server: Path, port: int) -> int:
    """Put a copy back into a server without jobs, and verify it; bays then send what came since by themselves."""
    with closing(restore(PostgresServer(server.resolve(), port=port), backup)) as desk:
        return _verified(desk, None, keys=False)


@click.command("verify", epilog="Example: hoodside shop verify")
@_options.data
def verify(data: Path | None) -> int:
    """Prove that every bay's chain is whole on the shop's server, and that its log goes on from where it was seen.

    Ends with 1 where something is wrong. Told is each delivery that came with a bay's password and without its key.
    """
    return verify_on_server(data)


def verify_on_server(data: Path | None) -> int:
    """Verify the shop's record, and say what is wrong; the exit code."""
    with closing(open_shop(data)) as desk:
        return _verified(desk, data, keys=True)


def _verified(desk: ShopDesk, data: Path | None, *, keys: bool) -> int:
    count, verdict = verify_shop(desk, is_signed if keys else None, data)
    for words in verdict.told:
        click.echo(f"note: {printable(words)}.", err=True)
    for words in verdict.wrong:
        click.echo(f"hoodside: {printable(words)}.", err=True)
    click.echo(f"{times(count, 'job')}: " + ("not as recorded." if verdict.wrong else "every chain is whole."))
    return 1 if verdict.wrong else 0


@click.command("retain", epilog="Example: hoodside shop retain --months 36 --do")
@click.option("--months", type=click.IntRange(1), required=True, help="Jobs begun longer ago lose what names people.")
@click.option("--do", "carry_out", is_flag=True, help="Carry it out; without it, only say what would go.")
@_options.data
def retain(months: int, carry_out: bool, data: Path | None) -> int:
    """Remove plates, owners, dictated words and technicians from old jobs; their facts stay. Only for an owner."""
    before = (datetime.now(UTC) - timedelta(days=months * DAYS_A_MONTH)).isoformat(timespec="seconds")
    with closing(open_shop(data)) as desk:
        old = desk.old_values(before)
        for job, places in old:
            click.echo(f"{printable(job)}: {times(len(places), 'value')}")
        values = sum(len(places) for _, places in old)
        if carry_out and old:
            signer = install_key()
            desk.retire(old, key=signer.key if signer else b"")
            gone = desk.shred_what_was_asked()
            desk.note("retention", f"{months} months: {gone} values of {len(old)} jobs")
            click.echo(f"Removed {times(gone, 'value')} of {times(len(old), 'job')}.", err=True)
        else:
            click.echo(
                f"{times(values, 'value')} of {times(len(old), 'job')} would go; say --do to remove them.", err=True
            )
    return 0


@click.command("shred", epilog="Example: hoodside shop shred")
@_options.data
def shred(data: Path | None) -> int:
    """Carry out the removals that bays asked for: keys are shredded, no file of the server holds the values any more.

    Until then they are hidden. Needs an owner's account.
    """
    with closing(open_shop(data)) as desk:
        gone = desk.shred_what_was_asked()
    click.echo(f"Removed {times(gone, 'value')} for good.", err=True)
    return 0


@click.command("export", epilog="Example: hoodside shop export --out everything.jsonl")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), required=True, help="The file to write.")
@click.option("--without-personal", is_flag=True, help="Leave out plates, VINs, owners and dictated words.")
@_options.data
def export_shop(out: Path, without_personal: bool, data: Path | None) -> int:
    """Write every job of the shop in the format of hoodside jobs export, sealed by this machine."""
    with closing(open_shop(data)) as desk:
        exported = make_export(desk, desk.jobs(), install_key(), is_signed, personal=not without_personal)
        desk.note("exported", f"{exported.count} jobs{' without personal values' * without_personal}")
    write_whole(out, exported.content)
    for words in exported.left_out:
        click.echo(f"hoodside: {printable(words)}.", err=True)
    click.echo(f"Wrote {times(exported.count, 'job')} to {out}.", err=True)
    return 1 if exported.left_out else 0

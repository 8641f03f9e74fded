"""`hoodside shop`: what the shop as a whole wants."""

from __future__ import annotations

from dataclasses import asdict, replace
from pathlib import Path

import click

from assistant.adapters.shop_settings import OWN, SHOP
from assistant.cli import _options
from assistant.cli._groups import HelpfulGroup
from assistant.cli._shop_bay import drain_outbox, join_shop, show_status, take, watch
from assistant.cli._shop_care import (
    account,
    backup_shop,
    export_shop,
    restore_shop,
    retain,
    serve_shop,
    shred,
    upgrade_shop,
    verify,
)
from assistant.cli._shop_desk import audit, find, hand, history, minutes, month, priors, readings, show_comebacks, tests
from assistant.record.page.model import Paper
from assistant.wiring.shop import keep_shop_settings, shop_settings


@click.group(cls=HelpfulGroup, epilog="Example: hoodside shop settings --name 'Bay Nine' --paper letter")
def command() -> None:
    """Say once what every record of the shop carries; keep one record of many bays on a server, search it, learn."""


for one in (
    join_shop, drain_outbox, show_status, watch, take,
    find, history, show_comebacks, minutes, tests, readings, priors, month, hand, audit,
    serve_shop, account, upgrade_shop, backup_shop, restore_shop, verify, retain, shred, export_shop,
):  # fmt: skip
    command.add_command(one)


@command.command(epilog="Example: hoodside shop settings --name 'Bay Nine' --technician Sam --paper letter")
@click.option("--name", metavar="NAME", help="The shop's name, on every record that is begun from now on.")
@click.option("--technician", metavar="NAME", help="Who works here, unless `start --technician` says another.")
@click.option("--paper", type=click.Choice([one.value for one in Paper]), help="What reports are printed on.")
@click.option("--odds", type=click.Choice([SHOP, OWN]), help="Whether other bays' repairs move a job's odds too.")
@_options.data
def settings(
    *, name: str | None, technician: str | None, paper: str | None, odds: str | None, data: Path | None
) -> int:
    """Show the shop's settings, or change those that are given; an empty NAME takes one back."""
    kept = shop_settings(data)
    told = {"name": name, "technician": technician, "paper": paper, "odds": odds}
    given = {key: _options.short(key, value) for key, value in told.items() if value is not None}
    if given:
        kept = replace(kept, **given)
        keep_shop_settings(kept, data)
    for key, value in asdict(kept).items():
        click.echo(f"{key}: {value or 'not said'}")
    return 0

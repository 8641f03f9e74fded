"""`hoodside shop join`, `drain`, `status` and `take`: a bay of a shop that keeps one record on a server."""

from __future__ import annotations

import os
import select
import sys
import time
from contextlib import suppress
from pathlib import Path

import click

from assistant.cli import _options
from assistant.errors import ShopUnreachable
from assistant.facts import FactKind
from assistant.record.watched import watched
from assistant.record.wording import fitted, printable, times
from assistant.wiring.shop_server import (
    be_modest,
    drain,
    facts_since,
    held_by,
    join,
    joined_url,
    keep_draining,
    outbox_state,
    take_job,
    troubles,
    turns_waiting,
)

PASSWORD = "HOODSIDE_SHOP_PASSWORD"
"""The variable of the environment that a password is taken from where none is asked for."""
WATCH_S = 2.0
"""How often whoever watches asks for more. Judgement: a bay sends each second."""


@click.command(
    "join", epilog="Example: hoodside shop join postgresql://bay-one@shop-server:5463/hoodside --certificate shop.crt"
)
@click.argument("address")
@click.option(
    "--certificate",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The server's shop.crt; needed off this machine.",
)
@_options.data
def join_shop(address: str, certificate: Path | None, data: Path | None) -> int:
    """Join the shop at ADDRESS, once: from then on what is recorded here goes there whenever it can be reached.

    The password is asked for, or taken from HOODSIDE_SHOP_PASSWORD. Off this machine the way is always TLS, and the
    server's name is checked.
    """
    password = os.environ.get(PASSWORD) or (
        "" if _holds_password(address) else click.prompt("Password", hide_input=True, err=True)
    )
    name = join(address, password, certificate, data)
    click.echo(
        f"Joined as {name}. What is recorded here goes to the shop beside each session, or by: hoodside shop drain",
        err=True,
    )
    return 0


@click.command("drain", epilog="Example: hoodside shop drain")
@click.option("--again", is_flag=True, help="Offer everything once more, what was refused too; it is kept once.")
@click.option("--beside", is_flag=True, hidden=True, help="Go on as long as standard input is open.")
@_options.data
def drain_outbox(again: bool, beside: bool, data: Path | None) -> int:
    """Send what waits to the shop's server. A session does so by itself, in the background.

    Ends with 1 where the server would not take a job; its facts stay here.
    """
    if beside:
        be_modest()
        keep_draining(data, _standard_input_ended, _tell_session)
        return 0
    sent = 0

    def count(facts: int) -> None:
        nonlocal sent
        sent += facts

    if not drain(data, again=again, told=count):
        click.echo("Another program is sending just now.", err=True)
        return 0
    click.echo(f"Sent {times(sent, 'fact')}; nothing waits.", err=True)
    state = outbox_state(data)
    for words in troubles(state):
        click.echo(f"hoodside: {printable(words)}", err=True)
    return 1 if state.refused else 0


@click.command("status", epilog="Example: hoodside shop status")
@_options.data
def show_status(data: Path | None) -> int:
    """Say what waits here for the shop's server, and what it would not take. Ends with 1 where something is wrong."""
    joined_url(data)
    state, waiting = outbox_state(data), turns_waiting(data)
    click.echo(f"{waiting} turn{'s' * (waiting != 1)} wait{'s' * (waiting == 1)} to be sent.")
    click.echo(f"The server was last reached: {state.last_utc or 'never'}.")
    for words in troubles(state):
        click.echo(f"hoodside: {printable(words)}", err=True)
    return 1 if state.refused or state.trouble else 0


@click.command("watch", epilog="Example: hoodside shop watch grey-hatchback")
@click.argument("job")
@click.option("--once", is_flag=True, help="Say how it stands, and end.")
@_options.data
def watch(job: str, once: bool, data: Path | None) -> int:
    """Watch JOB, which another bay leads: answers, readings and findings as they reach the shop; ends with the job.

    Nothing is written, here or there. Ctrl-C ends it. The account must be a desk's too.
    """
    name, holder = printable(job), printable(held_by(job, data))
    click.echo(f"{name} is led at {holder}. To take it over: hoodside shop take '{name}' --over", err=True)
    seen = 0
    while True:
        try:
            facts = facts_since(job, seen, data)
        except ShopUnreachable as reason:
            if once:
                raise
            click.echo(f"hoodside: {reason} Trying on.", err=True)
            facts = ()
        for fact in facts:
            line = watched(fact)
            if line:
                click.echo(fitted(printable(line)))
        seen = facts[-1].number if facts else seen
        if once or any(fact.kind is FactKind.JOB_ENDED for fact in facts):
            return 0
        time.sleep(WATCH_S)


@click.command("take", epilog="Example: hoodside shop take grey-hatchback")
@click.argument("job")
@click.option("--over", is_flag=True, help="Have it handed over too, where another bay still has it.")
@_options.data
def take(job: str, over: bool, data: Path | None) -> int:
    """Take over JOB, which the desk handed to this bay; then: hoodside resume JOB. The account must be a desk's too.

    That it was taken over is a fact of the job. What the bay before says of it from then on is refused, told there, and
    kept there.
    """
    taken = take_job(job, data, over=over)
    click.echo(f"Took over {printable(job)}: {times(taken.facts, 'fact')}.", err=True)
    name = printable(taken.name)
    onward = f"jobs close '{name}' --repair FAULT" if taken.ended else f"resume '{name}'"
    click.echo(f"Go on with: hoodside {onward}", err=True)
    return 0


def _tell_session(words: str) -> None:
    with suppress(OSError):  # it may have ended; what waits is sent all the same
        click.echo(printable(words))


def _holds_password(address: str) -> bool:
    return ":" in address.partition("://")[2].rpartition("@")[0]


def _standard_input_ended(wait_s: float) -> bool:
    """Waits so long for its end at most."""
    until = time.monotonic() + wait_s
    while True:
        left = max(0.0, until - time.monotonic())
        if sys.platform == "win32":
            time.sleep(left)
            return False
        ready, _, _ = select.select([sys.stdin], [], [], left)
        if ready and not os.read(sys.stdin.fileno(), 4096):
            return True
        if not ready:
            return False

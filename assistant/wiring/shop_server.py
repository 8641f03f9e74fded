"""The way to the shop's server: joining, emptying the outbox, and the process that does so beside a session."""

from __future__ import annotations

import importlib.util
import math
import os
import random
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.adapters.outbox_file import OutboxFile
from assistant.adapters.shop_joined import JoinedShop, certificate_of, keep_joined, read_joined
from assistant.adapters.shop_repairs import keep_repairs, read_repairs
from assistant.desk.taking_in import take_chain
from assistant.errors import SetupError, ShopRefused, ShopUnreachable, UsageError
from assistant.facts import Fact, FactKind, TakenOver, fact_of, key_of
from assistant.record.chain import facts_of
from assistant.record.outbox import OutboxState
from assistant.record.texts import texts_of
from assistant.session.outbox import Outbox, longer
from assistant.wiring.folders import data_folder, utc_now
from assistant.wiring.keys import install_key
from assistant.wiring.records import holds_records, look_into_journal, open_journal
from assistant.wiring.verifying import require_whole

if TYPE_CHECKING:
    from sqlalchemy import URL

    from assistant.adapters.journal_postgres import Delivery, ShopDesk

LOOK_S = 1.0
"""How often a drain that waits looks for new facts of our own. Judgement."""
QUIET_ROUNDS = 30
"""After so many looks it asks the server for the shop's removals all the same. Judgement."""
FETCHED_S = 900.0
"""So old what other bays repaired may be before it is fetched again with a drain. Judgement."""
RESTS = 3.0
"""So many times as long as a round took a drain beside a session rests after it, so that the voice has the cores and
the disk to itself three quarters of the time. Measured by `hoodside bench shop --part voice`."""
LAST_S = 15.0
"""So long a drain goes on trying after its session has ended; the rest goes with the next."""


def join(address: str, password: str, certificate: Path | None, data: Path | None) -> str:
    """Make this machine a bay, or a desk, of the shop; what it is called there. Raises UsageError, RecordError."""
    folder = data_folder(data)
    try:
        vouches = certificate.read_bytes() if certificate is not None else None
    except OSError as error:
        raise UsageError(f"'{certificate}' cannot be read: {error.strerror or error}.") from error
    url = _url(address, password, certificate)
    from assistant.adapters.journal_postgres import Delivery

    with closing(Delivery(url, utc_now, install_key())) as server:
        server.join()
    plain = url.set(password=None, drivername="postgresql").difference_update_query(["sslrootcert", "sslmode"])
    keep_joined(folder, JoinedShop(address=plain.render_as_string(), password=url.password or ""), vouches)
    return str(url.username)


def joined_url(data: Path | None) -> URL:
    """The way to the server that this machine joined. Raises UsageError where it joined none."""
    folder = data_folder(data)
    joined = read_joined(folder)
    if joined is None:
        raise UsageError("This machine joined no shop yet; say: hoodside shop join ADDRESS")
    return _url(joined.address, joined.password, certificate_of(folder))


def open_shop(data: Path | None) -> ShopDesk:
    """The shop's record, for an account that may read it. Raises UsageError where no shop was joined."""
    url = joined_url(data)
    from assistant.adapters.journal_postgres import ShopDesk

    return ShopDesk(url, utc_now)


@contextmanager
def _way(data: Path | None) -> Iterator[Delivery]:
    """This bay's way to the server. Raises UsageError where no shop was joined."""
    url = joined_url(data)
    from assistant.adapters.journal_postgres import Delivery

    with closing(Delivery(url, utc_now, install_key())) as server:
        yield server


def drain(
    data: Path | None,
    *,
    again: bool = False,
    told: Callable[[int], None] = lambda facts: None,
    rest: Callable[[float], object] = lambda took_s: None,
) -> bool:
    """Send everything that waits, once; whether nothing waits any more. False as well where another program does so.

    `told`: gets how many facts each round sent; `rest`: how many seconds it took, before the next.
    Raises ShopUnreachable when the server cannot be reached.
    """
    with OutboxFile(data_folder(data)).alone() as alone:
        if not alone:
            return False
        with _way(data) as server:
            if holds_records(data):
                _empty(data, server, again=again, told=told, rest=rest)
            fetch_repairs(data, server)
    return True


def _empty(
    data: Path | None,
    server: Delivery,
    *,
    again: bool,
    told: Callable[[int], None],
    rest: Callable[[float], object],
) -> None:
    with closing(look_into_journal(data)) as archive:
        outbox = Outbox(archive, server, OutboxFile(data_folder(data)), utc_now, lambda: open_journal(data))
        if again:
            outbox.offer_again()
        more = True
        while more:
            began = time.monotonic()
            done = outbox.round()
            told(done.facts)
            more = done.more
            if more:
                rest(time.monotonic() - began)


def fetch_repairs(data: Path | None, server: Delivery) -> None:
    """Keep here what the other bays repaired, unless that was done lately. A desk's own account has no use for it."""
    folder = data_folder(data)
    if _seconds_since(read_repairs(folder).fetched_utc) >= FETCHED_S:
        with suppress(ShopRefused):
            keep_repairs(folder, server.repaired_elsewhere())


def _seconds_since(utc: str) -> float:
    """Infinite for none, and for a time that is still to come."""
    try:
        passed = (datetime.fromisoformat(utc_now()) - datetime.fromisoformat(utc)).total_seconds()
    except ValueError:
        return math.inf
    return passed if passed >= 0 else math.inf


def keep_draining(
    data: Path | None, ended: Callable[[float], bool], told: Callable[[str], None] = lambda words: None
) -> None:
    """Send what comes, until `ended` (told how many seconds to wait for that) is so and nothing waits, or cannot go.

    Between two rounds it rests, as long as the session goes on.

    `told`: gets a sentence for each job that the server would not take and that was not refused when this began.
    """
    wait_s, quiet, last_s = 0.0, QUIET_ROUNDS, None
    known = set(outbox_state(data).refused)
    while last_s is None or time.monotonic() < last_s:
        over = ended(wait_s)
        if over and last_s is None:
            last_s = time.monotonic() + LAST_S
        quiet += 1
        try:
            if over or quiet >= QUIET_ROUNDS or turns_waiting(data):
                quiet = 0
                done = drain(data, rest=lambda took_s: ended(took_s * RESTS))
                refused = outbox_state(data).refused
                for job in refused.keys() - known:
                    told(refusal(job, refused[job]))
                known |= refused.keys()
                if over and done:
                    return
            wait_s = LOOK_S
        except ShopUnreachable:
            wait_s = longer(wait_s) * random.uniform(0.7, 1.3)  # not every bay at the same moment
            if over:
                return


def turns_waiting(data: Path | None) -> int:
    """How many turns are to be sent. Asks only our own store."""
    if not holds_records(data):
        return 0
    with closing(look_into_journal(data)) as journal:
        return max(0, journal.log_head().size - outbox_state(data).sent)


def outbox_state(data: Path | None) -> OutboxState:
    """How far the outbox was emptied."""
    return OutboxFile(data_folder(data)).read()


@contextmanager
def drained_beside(data: Path | None, told: Callable[[ShopRefused], None]) -> Iterator[None]:
    """As long as it lasts, another process empties the outbox, at low priority; nothing where no shop was joined.

    A process of its own: the voice loop shares no lock, no interpreter and no wait with it. It ends by itself when this
    program does, however that ends, for its standard input then ends. `told`: gets, from another thread, each job that
    the server would not take, such as one that another bay took over meanwhile.
    """
    try:
        joined = read_joined(data_folder(data))
    except SetupError as error:
        sys.stderr.write(f"hoodside: {error}\n")
        joined = None
    if joined is None:
        yield
        return
    for words in troubles(outbox_state(data)):
        sys.stderr.write(f"hoodside: {words}\n")
    command = [sys.executable, "-m", "assistant", "shop", "drain", "--beside", "--data", str(data_folder(data))]
    process = None
    try:
        process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True
        )
        threading.Thread(target=_pass_on, args=(process, told), daemon=True).start()
    except OSError as error:  # the job comes first; what it records is kept here and goes later
        sys.stderr.write(f"hoodside: Nothing is sent to the shop just now: {error}; later: hoodside shop drain\n")
    try:
        yield
    finally:
        if process is not None and process.stdin is not None:
            with suppress(OSError):
                process.stdin.close()


def _pass_on(process: subprocess.Popen[bytes], told: Callable[[ShopRefused], None]) -> None:
    for line in process.stdout or ():
        told(ShopRefused(line.decode(errors="replace").strip()))


def refusal(job: str, why: str) -> str:
    """What is said of a job that the server would not take."""
    return f"The shop's server would not take job '{job}', which is kept here. {why}"


def troubles(state: OutboxState) -> list[str]:
    """What the technician should know of the outbox, a sentence each."""
    told = [refusal(job, why) for job, why in state.refused.items()]
    if state.trouble:
        since = state.last_utc[:16].replace("T", " at ") or "the beginning"
        told.append(f"The shop's server was not reached since {since}: {state.trouble}")
    return told


def held_by(job: str, data: Path | None) -> str:
    """Which bay leads the job, and when it last sent. Raises UsageError where there is no such job."""
    with closing(open_shop(data)) as shop:
        bay, ago_s = shop.held_by(job)
    return f"{bay}, which last sent {ago(ago_s)}"


def facts_since(job: str, number: int, data: Path | None) -> tuple[Fact, ...]:
    """What the shop has of the job from behind the fact of this number on."""
    with closing(open_shop(data)) as shop:
        return facts_of(shop.entries(job, since=number))


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A job that was taken over. `name`: what it is called here. `facts`: how many came. `ended`: whether its work had
    ended; then only its repair can still be confirmed here."""

    name: str
    facts: int
    ended: bool


def take_job(job: str, data: Path | None, *, over: bool = False) -> Taken:
    """Take a job over that the desk handed to this bay: its chain comes here and, while it is open, a fact says so.

    `over`: have it handed over too, by a desk's account. Raises UsageError where it was not, RecordError,
    RecordChanged.
    """
    bay = str(joined_url(data).username)
    with closing(open_shop(data)) as shop:
        holder, ago_s = shop.held_by(job)
        if holder != bay and not over:
            raise UsageError(
                f"Job '{job}' belongs to '{holder}', which last sent of it {ago(ago_s)}. Ask there first, for what it "
                f"says from then on is refused; then say: hoodside shop take '{job}' --over, or at the desk: "
                f"hoodside shop hand '{job}' {bay}"
            )
        require_whole(shop, job)
        if holder != bay:
            shop.hand(job, bay)
            require_whole(shop, job)  # with what came until then
        entries = shop.entries(job)
        with closing(open_journal(data)) as here:
            here.keep_texts(texts_of(entries, shop.text))
            name, new = take_chain(here, entries)
            key = key_of(entries[0].id, 1)
            facts = here.facts(key)
            ended = any(fact.kind is FactKind.JOB_ENDED for fact in facts)
            last = facts[-1]
            if last.kind is not FactKind.TAKEN_OVER and not ended:
                number = last.number + 1
                taken = fact_of(
                    TakenOver(bay=bay, from_bay=shop.handed_by(job)),
                    id=f"{key}-{number}",
                    job=last.job,
                    number=number,
                    at_s=last.at_s,
                    procedure=last.procedure,
                )
                here.claim(name)
                here.append([taken])
    return Taken(name=name, facts=new, ended=ended)


def ago(seconds: float) -> str:
    """How long ago, in words."""
    for unit, length in (("days", 86_400), ("hours", 3_600), ("minutes", 60)):
        if seconds >= 2 * length:
            return f"{seconds // length:.0f} {unit} ago"
    return f"{seconds:.0f} seconds ago"


def be_modest() -> None:
    """Whatever else this machine does goes first."""
    with suppress(OSError, AttributeError):
        os.nice(15)


def needs_extra() -> None:
    """Raises SetupError where the libraries of the shop's record are not installed."""
    missing = [name for name in ("alembic", "psycopg", "sqlalchemy") if importlib.util.find_spec(name) is None]
    if missing:
        raise SetupError(f"The shop's record needs {', '.join(missing)}: pip install 'hoodside[shop]'")


def _url(address: str, password: str, certificate: Path | None) -> URL:
    needs_extra()
    from assistant.adapters.journal_postgres import checked_url

    url = checked_url(address, certificate)
    return url.set(password=password) if password else url

"""What the shop's server lets whom do, and what a stolen password is worth."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy import URL
from sqlalchemy.exc import DBAPIError

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_postgres import Delivery, ShopDesk
from assistant.adapters.journal_postgres.link import engine_for
from assistant.adapters.signer_ed25519 import is_signed
from assistant.errors import ShopRefused
from assistant.facts import FactKind
from assistant.record.chain import entry_after, head_of
from assistant.record.outbox import Parcel
from assistant.record.summary import summary_from
from tests.adapters.shop_bays import BAY, UTC, attempt, parcel_of, told
from tests.ports.journal_suite import fact
from tests.shop_server import Shop

NO_RIGHT = NOT_ITS_ROW = "42501"


FORBIDDEN = (
    "SELECT * FROM facts",
    "SELECT * FROM personal",
    "SELECT * FROM job_keys",
    "SELECT * FROM said",
    "SELECT * FROM gathered",
    "SELECT text FROM texts",
    "SELECT * FROM opened(1, NULL)",
    "SELECT leaf FROM log",
    "SELECT * FROM audit",
    "UPDATE facts SET body = ''",
    "DELETE FROM facts",
    "UPDATE jobs SET bay = session_user",
    "UPDATE jobs SET number = 0",
    "DELETE FROM jobs",
    "UPDATE personal SET sealed = NULL",
    "DELETE FROM log",
    "UPDATE log_head SET size = 0",
    "INSERT INTO log (place, kind, leaf, nodes) VALUES (99, 'head', '', '')",
    "INSERT INTO jobs (key, label, begun_as, bay) VALUES ('x', 'x', 'x', 'bay-one')",
    "INSERT INTO bays (bay) VALUES ('bay-nine')",
    "INSERT INTO audit (what) VALUES ('nothing happened')",
    "SELECT shred(1)",
    "SELECT wipe(NULL)",
    "SELECT hand(1, 'thief')",
    "SELECT add_leaf('head', 1, 1, '{}')",
    "TRUNCATE facts",
    "DROP TABLE facts",
    "ALTER TABLE facts DISABLE TRIGGER ALL",
    "CREATE TABLE mine (x int)",
    "SET ROLE hoodside_owner",
    "SET session_replication_role = replica",
    "CREATE ROLE other LOGIN",
    "COPY facts TO PROGRAM 'true'",
    "SELECT pg_read_file('/etc/hostname')",
)


def test_a_stolen_bay_password_may_not(shop: Shop) -> None:
    """Read a fact or a value, change or take away anything, act for another bay, or widen its own rights."""
    let_through = []
    with engine_for(shop.account("thief", BAY)).connect() as connection:
        for statement in FORBIDDEN:
            try:
                connection.exec_driver_sql(statement)
                let_through.append(statement)
            except DBAPIError as error:
                if getattr(error.orig, "sqlstate", "") != NO_RIGHT:
                    let_through.append(f"{statement}: {error.orig}")
            connection.rollback()
    assert let_through == []


def test_a_stolen_password_of_one_bay_touches_no_job_of_another(bay: Any, shop: Shop, owner: ShopDesk) -> None:
    """It sees of it nothing, neither lengthens nor rewrites it, nor asks for removals, nor holds its name."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    one.drain()
    thief = shop.account("thief", BAY)
    assert attempt(thief, "SELECT * FROM jobs") == attempt(thief, "SELECT * FROM lines") == "0"
    forged = entry_after(head_of(one.journal.entries("blue")), fact(6, job="blue", key="k1"), UTC)
    values = {"n": forged.number, "id": forged.id, "utc": UTC, "hash": forged.hash, "body": forged.body}
    insert = (
        "INSERT INTO facts (job_no, number, id, recorded_utc, hash, body) VALUES (:job, :n, :id, :utc, :hash, :body)"
    )
    ((job,),) = shop.ask("SELECT job_no FROM shop.jobs")
    assert attempt(thief, insert, job=job, **values) == NOT_ITS_ROW
    assert attempt(thief, f"INSERT INTO removals VALUES ({job}, 2, '/value', '{UTC}', '')") == NOT_ITS_ROW
    removal = f"INSERT INTO removals (job_no, number, place, utc, key) VALUES ({job}, 2, '/value', '{UTC}', '')"
    assert attempt(thief, removal) == NOT_ITS_ROW
    assert attempt(
        thief, f"INSERT INTO personal (job_no, number, place, belongs) VALUES ({job}, 9, '/a', 'owner')"
    ) in (NOT_ITS_ROW,)
    assert attempt(thief, "SELECT lease('blue', 'me', 60)") == "HS003"
    with Stolen(thief) as stolen, pytest.raises(ShopRefused, match="belongs to another bay"):
        stolen.deliver([parcel_of(one.journal, "blue")])
    assert owner.facts("blue") == one.journal.facts("blue")


def test_a_stolen_password_of_the_same_bay_is_known_by_its_missing_key(bay: Any, shop: Shop, owner: ShopDesk) -> None:
    """It can begin jobs and lengthen open ones of that bay; verifying tells each such delivery from the bay's own."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    one.drain()
    elsewhere = MemoryJournal(lambda: UTC)
    elsewhere.take(one.journal.entries("blue"))
    elsewhere.append([fact(6, job="blue", key="k1", data={"words": "forged"})])
    with Stolen(shop.account("bay-one", BAY)) as stolen:
        assert stolen.deliver([parcel_of(elsewhere, "blue")]) == 1
    (said,) = owner.unsigned_deliveries(is_signed)
    assert "job 'blue'" in said and "without its key" in said


def test_a_repair_that_no_fact_confirms_moves_no_odds_and_is_told(bay: Any, shop: Shop, owner: ShopDesk) -> None:
    """With a stolen password a line can be made to lie; other bays do not count it, and verifying tells."""
    one, two = bay("bay-one"), bay("bay-two")
    one.journal.append(told("blue", "k1"))
    one.drain()
    lie = "UPDATE lines SET told = jsonb_build_object('repaired', 'crank-sensor'), procedure = 'no-start'"
    assert attempt(shop.account("bay-one", BAY), lie) == "1"
    assert two.server.repaired_elsewhere().counts == {}
    assert [words for words in owner.line_faults() if "moves the odds" in words] != []
    one.journal.append([fact(6, job="blue", key="k1", kind=FactKind.REPAIR_CONFIRMED, data={"fault": "crank-sensor"})])
    one.drain()
    assert [each for counts in two.server.repaired_elsewhere().counts.values() for each in counts.items()] == [
        ("crank-sensor", 1)
    ]
    assert one.server.repaired_elsewhere().counts == {}
    assert owner.line_faults() == ()


def test_forged_facts_that_do_not_follow_are_refused(bay: Any, shop: Shop) -> None:
    """The server itself holds each link against the one before: no gap, no other history, no changed body."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    entries = one.journal.entries("blue")
    line = summary_from(entries, "blue")
    changed = (*entries[:3], replace(entries[3], body=entries[3].body.replace("done", "gone")), entries[4])
    with Stolen(shop.account("bay-one", BAY)) as stolen:
        with pytest.raises(ShopRefused, match="chain does not hold"):
            stolen.deliver([Parcel(entries=changed, summary=line, told={})])
        gap = (*entries[:2], *entries[3:])
        with pytest.raises(ShopRefused, match="goes on otherwise"):
            stolen.deliver([Parcel(entries=gap, summary=line, told={})])
        assert stolen.deliver([Parcel(entries=entries, summary=line, told={})]) == 5
    late = "INSERT INTO personal (job_no, number, place, belongs) SELECT job_no, 1, '/x', 'owner' FROM jobs"
    assert attempt(shop.account("bay-one", BAY), late) == "HS001"


def test_a_text_that_is_not_its_digest_is_not_taken_from_a_bay(bay: Any, owner: ShopDesk) -> None:
    """Nobody puts a false caution under the digest of a true one before it arrives."""
    one = bay("bay-one")
    with pytest.raises(ShopRefused, match="may not do that"):
        one.server.keep_texts({"0" * 64: "the opposite"})
    assert owner.text("0" * 64) is None


class Stolen(Delivery):
    """Who has a bay's password and not its key."""

    def __init__(self, url: URL) -> None:
        super().__init__(url, lambda: UTC)

    def __enter__(self) -> Stolen:
        return self

    def __exit__(self, *about: object) -> None:
        self.close()

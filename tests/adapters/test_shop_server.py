"""A bay's way to the shop's server, against a real PostgreSQL: once, whole, in order, whatever was cut."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from assistant.adapters.journal_postgres import JobHeld, PostgresJournal, ShopDesk
from assistant.adapters.journal_postgres.link import Link
from assistant.errors import ShopRefused, ShopUnreachable
from assistant.facts import FactKind
from assistant.record.chain import Head, faults, head_of
from assistant.record.outbox import Parcel
from assistant.record.summary import JobQuery, summary_from
from assistant.record.verify import verify_job, verify_log
from tests.adapters.shop_bays import BAY, UTC, told
from tests.ports.journal_suite import fact
from tests.shop_server import Shop


def test_a_bay_delivers_once_and_goes_on(bay: Any, owner: ShopDesk) -> None:
    """Everything arrives in order and once, goes on where it was, and proves whole on the server."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    one.journal.append(told("red", "k2"))
    assert one.drain() == 10
    assert one.drain() == 0
    one.journal.append([fact(6, job="blue", key="k1")])
    assert one.drain() == 1
    one.outbox.offer_again()
    assert one.drain() == 0
    for job in ("blue", "red"):
        assert [(each.id, each.hash) for each in owner.entries(job)] == [
            (each.id, each.hash) for each in one.journal.entries(job)
        ]
        assert owner.facts(job) == one.journal.facts(job)
        assert verify_job(owner, job).wrong == ()
    assert verify_log(owner).wrong == ()
    assert owner.line_faults() == ()
    assert [line.job for line in owner.search(JobQuery(vehicle=("demo-k2",)))] == ["red"]


def test_the_same_name_in_two_bays_is_two_jobs(bay: Any, owner: ShopDesk) -> None:
    """A name is a label: the second bay's job stands under its name and the bay's."""
    for name, key in (("bay-one", "k1"), ("bay-two", "k2"), ("bay-three", "k3")):
        one = bay(name)
        one.journal.append(told("blue", key))
        assert one.drain() == 5
    assert owner.jobs() == ("blue", "blue (bay-two)", "blue (bay-three)")
    assert all(verify_job(owner, job).wrong == () for job in owner.jobs())


def test_a_fork_is_refused_and_said_and_its_facts_are_kept(bay: Any, owner: ShopDesk) -> None:
    """Two machines of one account lead the same job two ways: the first to arrive stands, the other says so."""
    one, other = bay("bay-one"), bay("bay-one")
    one.journal.append(told("blue", "k1"))
    one.drain()
    other.journal.take(one.journal.entries("blue"))
    one.journal.append([fact(6, job="blue", key="k1")])
    other.journal.append([fact(6, job="blue", key="k1", data={"words": "another way"})])
    other.journal.append(told("green", "k9"))
    one.drain()
    assert other.drain() == 5  # the other job goes on
    assert "went another way" in other.file.read().refused["blue"]
    assert other.journal.facts("blue")[-1].data["words"] == "another way"
    assert owner.entries("blue") == one.journal.entries("blue")


def test_a_job_is_handed_over_and_the_former_bay_is_refused(bay: Any, shop: Shop, owner: ShopDesk) -> None:
    """Only once the desk handed it over another bay may lengthen a job, and the former one no more; the log tells."""
    one, two = bay("bay-one"), bay("bay-two")
    one.journal.append(told("blue", "k1"))
    one.drain()
    two.journal.take(owner.entries("blue"))
    two.journal.append([fact(6, job="blue", key="k1", kind=FactKind.TAKEN_OVER, data={"bay": "bay-two"})])
    two.drain()
    assert "belongs to another bay" in two.file.read().refused["blue"]
    owner.hand("blue", "bay-two")
    two.outbox.offer_again()
    assert two.drain() == 1 and two.file.read().refused == {}
    one.journal.append([fact(6, job="blue", key="k1")])
    one.drain()
    assert "belongs to another bay" in one.file.read().refused["blue"]
    assert owner.facts("blue") == two.journal.facts("blue")
    assert "handed" in [leaf.kind for leaf in owner.logged("blue")]
    assert verify_job(owner, "blue").wrong == () and verify_log(owner).wrong == ()
    assert ("owner", "handed over", "bay-one to bay-two") in shop.ask("SELECT who, what, told FROM shop.audit")


def test_a_server_put_back_from_an_older_backup_gets_the_rest_again(bay: Any, shop: Shop, owner: Any) -> None:
    """What was acknowledged and then lost by the server is sent again, since its log is shorter than it was."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    one.drain()
    shop.empty()
    shop.run("INSERT INTO shop.bays VALUES ('bay-one', '')")
    assert one.drain() == 5
    assert owner.facts("blue") == one.journal.facts("blue")


def test_clock_skew_is_recorded_and_changes_nothing(bay: Any, shop: Shop, owner: ShopDesk) -> None:
    """A bay whose clock is years off delivers as any other; by how much is kept beside the server's own time."""
    one = bay("bay-one", utc="2031-05-01T09:00:00.000Z")
    one.journal.append(told("blue", "k1"))
    one.drain()
    ((skew, received),) = shop.ask("SELECT skew_s, received FROM shop.jobs")
    off_s = (datetime.fromisoformat("2031-05-01T09:00:00+00:00") - received).total_seconds()
    assert skew == pytest.approx(off_s, abs=60)
    assert owner.entries("blue")[0].recorded_utc == "2031-05-01T09:00:00.000Z"


def test_a_cut_anywhere_is_told_as_such(shop: Shop) -> None:
    """No server, a wrong password and an unknown database each end in a sentence; only the first may be tried again."""
    away = shop.account("bay-one", BAY).set(port=1)
    with pytest.raises(ShopUnreachable, match="does not answer"):
        Link(away, waits_s=()).work(lambda connection: None)
    with pytest.raises(ShopRefused, match="name and password"):
        Link(shop.account("bay-one", BAY).set(password="wrong")).work(lambda connection: None)
    with pytest.raises(ShopRefused, match="no such database"):
        Link(shop.account("bay-one", BAY).set(database="nothing")).work(lambda connection: None)


def test_a_lost_acknowledgement_doubles_nothing(bay: Any, owner: ShopDesk, shop: Shop) -> None:
    """The server commits, the answer is lost: the same work again finds it done."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    entries = one.journal.entries("blue")
    parcel = Parcel(entries=entries, summary=summary_from(entries, "blue"), told={})
    link, cut = Link(shop.account("bay-one", BAY), waits_s=(0.0,)), [True]

    def send(connection: Any) -> int:
        if cut:
            cut.clear()
            assert one.server.deliver([parcel]) == 5  # kept, and then the way is cut before that is known
            shop.run("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = 'bay-one'")
        return int(one.server._send(connection, parcel))

    assert link.work(send) == 0
    link.close()
    assert owner.facts("blue") == one.journal.facts("blue")


def test_a_bay_may_not_hold_what_another_program_holds(bay: Any, owner: ShopDesk, shop: Shop) -> None:
    """A lease of one program keeps the outbox of the same bay away until it is let go."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    holder = PostgresJournal(shop.account("bay-one", BAY), lambda: UTC)
    holder.claim("blue")
    with pytest.raises(JobHeld):
        one.drain()
    holder.close()
    assert one.drain() == 5


def test_chains_arrive_whole_whatever_the_size(bay: Any, owner: ShopDesk) -> None:
    """A job of thousands of facts goes in parts of one transaction."""
    one = bay("bay-one")
    one.journal.append(told("long", "k1", 2_500))
    assert one.drain() == 2_500
    assert faults(owner.entries("long")) == ()
    assert head_of(owner.entries("long")) == head_of(one.journal.entries("long")) != Head()

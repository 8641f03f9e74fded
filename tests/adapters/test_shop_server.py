"""A bay's way to the shop's server, and what the server lets whom do: against a real PostgreSQL."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import URL, text
from sqlalchemy.exc import DBAPIError

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_postgres import Delivery, JobHeld, PostgresJournal, ShopDesk, checked_url
from assistant.adapters.journal_postgres.copies import dump
from assistant.adapters.journal_postgres.lines import AT_ONCE
from assistant.adapters.journal_postgres.link import Link, engine_for
from assistant.adapters.journal_postgres.migrating import bring_to
from assistant.adapters.outbox_file import OutboxFile
from assistant.adapters.postgres_server import programs
from assistant.adapters.signer_ed25519 import InstallKey, is_signed
from assistant.errors import ShopRefused, ShopUnreachable, UsageError
from assistant.facts import Fact, FactKind
from assistant.record.chain import Head, entry_after, faults, head_of
from assistant.record.outbox import Parcel
from assistant.record.personal import REMOVED, Belonging
from assistant.record.summary import JobQuery, summary_from
from assistant.record.verify import verify_job, verify_log
from assistant.session.outbox import Outbox
from assistant.wiring.shop_keeping import DATABASE, restore
from tests.ports.journal_suite import fact
from tests.shop_server import Shop

BAY, DESK, OWNER = "hoodside_bay", "hoodside_desk", "hoodside_owner"
UTC = "2031-05-01T09:00:00.000Z"


class Bay:
    """A bay with a journal of its own in memory, and an outbox."""

    def __init__(self, shop: Shop, name: str, folder: Path, utc: str = UTC) -> None:
        self.name = name
        self.journal = MemoryJournal(lambda: utc)
        self.file = OutboxFile(folder)
        folder.mkdir(exist_ok=True)
        self.server = Delivery(shop.account(name, BAY), lambda: utc, InstallKey(folder))
        self.server.join()
        self.outbox = Outbox(self.journal, self.server, self.file, lambda: utc, lambda: self.journal)

    def drain(self) -> int:
        """Send everything; how many facts were new there."""
        facts, more = 0, True
        while more:
            done = self.outbox.round()
            facts, more = facts + done.facts, done.more
        return facts


@pytest.fixture
def bay(shop: Shop, tmp_path: Path) -> Iterator[Callable[[str], Bay]]:
    """Makes bays."""
    made: list[Bay] = []

    def one(name: str, utc: str = UTC) -> Bay:
        made.append(Bay(shop, name, tmp_path / f"{name}-{len(made)}", utc))
        return made[-1]

    yield one
    for each in made:
        each.server.close()


@pytest.fixture
def owner(shop: Shop) -> Iterator[ShopDesk]:
    """The whole record, for the one who may do all but extend a bay's chain."""
    journal = ShopDesk(shop.account("owner", DESK, OWNER), lambda: UTC)
    yield journal
    journal.close()


def told(job: str, key: str, count: int = 5) -> list[Fact]:
    """A job with a plate and a note."""
    facts = [
        fact(1, job=job, key=key, kind=FactKind.JOB_STARTED, data={"key": key}),
        fact(2, job=job, key=key, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": f"DEMO {key}"}),
        fact(3, job=job, key=key, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"}),
    ]
    return facts + [fact(number, job=job, key=key) for number in range(4, count + 1)]


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


def test_removals_travel_to_the_server_and_to_other_bays(bay: Any, shop: Shop, owner: ShopDesk) -> None:
    """What one bay removes is hidden on the server at once, shredded by the owner, and removed where else it lies."""
    one, two = bay("bay-one"), bay("bay-two")
    one.journal.append(told("blue", "k1"))
    one.drain()
    two.journal.take(owner.entries("blue"))
    one.journal.remove_personal("blue", [Belonging.OWNER])
    one.drain()
    assert owner.facts("blue")[1].data["value"] == REMOVED
    assert owner.search(JobQuery(vehicle=("demo k1",))) == ()
    assert verify_job(owner, "blue").wrong == ()
    two.drain()
    assert two.journal.facts("blue")[1].data["value"] == REMOVED
    assert two.journal.facts("blue")[2].data["words"] == "ring the owner"
    assert owner.shred_what_was_asked() == 1
    assert owner.facts("blue")[2].data["words"] == "ring the owner"
    assert verify_job(owner, "blue").wrong == () and verify_log(owner).wrong == ()
    assert shop.ask("SELECT count(*) FROM shop.job_keys WHERE belongs = 'owner'") == [(0,)]


def test_no_file_of_the_server_holds_what_was_removed(bay: Any, shop: Shop, owner: ShopDesk) -> None:
    """After the removal the plate and the key that sealed it are in none of the server's files, its log included."""
    one = bay("bay-one")
    one.journal.append(told("blue", "kplateNINE"))
    one.drain()
    ((key,),) = shop.ask("SELECT key FROM shop.job_keys WHERE belongs = 'owner'")
    plate = b"demokplatenine"  # as it was made ready for searches
    shop.run("CHECKPOINT")

    def holding(wanted: bytes) -> list[str]:
        files = (path for path in shop.server.cluster.rglob("*") if path.is_file())
        return [path.name for path in files if wanted in path.read_bytes()]

    assert holding(plate) and holding(bytes(key))
    assert holding(b"DEMO kplateNINE") == []  # its value lay sealed from the beginning
    owner.remove_personal("blue", [Belonging.OWNER])
    assert holding(plate) == [] and holding(bytes(key)) == []


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


# What a stolen bay password can do, and what not.


def attempt(url: URL, statement: str, **values: Any) -> str:
    """Try it with that account alone; the error's code, or what it gave."""
    with engine_for(url).connect() as connection:
        try:
            done = connection.execute(text(statement), values)
            connection.commit()
            return str(done.rowcount)
        except DBAPIError as error:
            return str(getattr(error.orig, "sqlstate", ""))


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


@pytest.mark.parametrize(
    "words", ["'; DROP TABLE facts; --", "%s %(key)s :key ::text", "\\'; SELECT 1", "<b>\u202e", "\x00 nul"]
)
def test_words_are_only_words(bay: Any, owner: ShopDesk, words: str) -> None:
    """Quotes, placeholders and control signs in names, plates and notes arrive as they are and run nothing."""
    name = words.replace("\x00", "")
    one = bay("bay-one")
    one.journal.append(
        [
            fact(1, job=name, kind=FactKind.JOB_STARTED, data={}),
            fact(2, job=name, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": words}),
            fact(3, job=name, kind=FactKind.NOTE_TAKEN, data={"words": words}),
        ]
    )
    assert one.drain() == 3
    assert owner.facts(name) == one.journal.facts(name)
    assert [line.job for line in owner.search(JobQuery(words=(words,)))] == [name]
    assert owner.search(JobQuery(words=(f"{words} or '1'='1",))) == ()


def test_words_that_many_jobs_have_and_few_together_are_found(bay: Any, owner: ShopDesk, shop: Shop) -> None:
    """However many jobs have each, the newest that have all of them come first, and others not at all."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    one.drain()
    many, notes = AT_ONCE + 100, "(ARRAY['wire by the harness', 'since last winter', 'harness, last winter'])"
    # Lines without facts behind them, newest last; every third has both words, but for the last few hundred.
    shop.run(f"""
        SET session_replication_role = replica;
        INSERT INTO shop.jobs (key, label, begun_as, bay, number)
            SELECT 'n' || i, 'n' || i, 'n' || i, 'bay-one', 1 FROM generate_series(1, {many}) i;
        INSERT INTO shop.said SELECT job_no, 2, '/words', 'words', false, {notes}[CASE WHEN i > 9 THEN 1 + i %% 2 ELSE
            1 + i %% 3 END] FROM generate_series(1, {many}) i JOIN shop.jobs ON label = 'n' || i;
        SET session_replication_role = origin;
        INSERT INTO shop.lines (job_no, started_utc, procedure, vehicle, finding, finding_fact, codes, ended,
            everything, vehicle_words, finding_words) SELECT job_no, '2031-05-' || lpad((i %% 28 + 1)::text, 2, '0'),
            '', '', '', '', '[]', true, label, '', ''
            FROM generate_series(1, {many}) i JOIN shop.jobs ON label = 'n' || i;
    """)
    found = owner.search(JobQuery(words=("harness", "last winter")))
    assert [line.job for line in found] == ["n8", "n5", "n2"]
    assert [line.job for line in owner.search(JobQuery(words=("harness", "winter"), most=2))] == ["n8", "n5"]
    assert owner.search(JobQuery(words=("harness", "last winter"), until="2031-05-02")) == ()
    assert len(owner.search(JobQuery(words=("harness",), most=many))) == many // 2 + 2


def test_a_text_that_is_not_its_digest_is_not_taken_from_a_bay(bay: Any, owner: ShopDesk) -> None:
    """Nobody puts a false caution under the digest of a true one before it arrives."""
    one = bay("bay-one")
    with pytest.raises(ShopRefused, match="may not do that"):
        one.server.keep_texts({"0" * 64: "the opposite"})
    assert owner.text("0" * 64) is None


def test_a_newer_or_older_store_is_told_in_one_sentence(shop: Shop) -> None:
    """A client that was put back, and one that is ahead of its server, send nothing and say who must act."""
    url = shop.account("bay-one", BAY)
    with pytest.raises(ShopRefused, match=r"made by a newer hoodside \(version 0003, this one knows 0001\)"):
        Link(url, newest="0001").work(lambda connection: None)
    with pytest.raises(ShopRefused, match=r"of an older version \(0003, this hoodside has 0004\)"):
        Link(url, newest="0004").work(lambda connection: None)


@pytest.mark.parametrize("version", ["0001", "0002"])
def test_the_store_goes_up_and_down_and_loses_no_fact(bay: Any, shop: Shop, owner: ShopDesk, version: str) -> None:
    """From the newest version to each earlier one and back: facts, values and log are as they were, and are found."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    one.drain()
    owner.link.close()
    one.server.close()
    with engine_for(shop.keeper()).connect() as connection:
        assert bring_to(connection, version) == "0003"
    with pytest.raises(ShopRefused, match="of an older version"):
        owner.facts("blue")
    with engine_for(shop.keeper()).connect() as connection:
        assert bring_to(connection) == version
    assert owner.facts("blue") == one.journal.facts("blue")
    assert verify_job(owner, "blue").wrong == () and verify_log(owner).wrong == ()
    assert [line.job for line in owner.search(JobQuery(words=("demo k1", "ring")))] == ["blue"]


def test_a_copy_of_an_older_version_is_put_back_and_brought_up_to_date(
    bay: Any, shop: Shop, owner: ShopDesk, tmp_path: Path
) -> None:
    """What an earlier hoodside copied is whole and found after it was put back by this one."""
    one = bay("bay-one")
    one.journal.append(told("blue", "k1"))
    one.drain()
    owner.link.close()
    one.server.close()
    with engine_for(shop.keeper()).connect() as connection:
        bring_to(connection, "0002")
    server = shop.server
    dump(programs(), server.prefix, server.address(DATABASE), tmp_path)
    with engine_for(shop.keeper()).connect() as connection:
        bring_to(connection)
    shop.empty()
    shop.let_go()
    restore(server, tmp_path).close()
    assert owner.facts("blue") == one.journal.facts("blue")
    assert [line.job for line in owner.search(JobQuery(words=("demo k1", "ring")))] == ["blue"]


@pytest.mark.parametrize(
    ("address", "wanted"),
    [
        ("postgresql://bay@shop-server/hoodside", "verify-full"),
        ("postgresql://bay@shop-server/hoodside?sslmode=verify-full", "verify-full"),
        ("postgresql://bay@192.0.2.7/hoodside", "verify-full"),
        ("postgresql://bay@127.0.0.1/hoodside", None),
        ("postgresql://bay@localhost/hoodside", None),
        ("postgresql://bay@[::1]/hoodside", None),
    ],
)
def test_tls_is_a_must_off_this_machine(address: str, wanted: str | None) -> None:
    """The server's name is checked on every way that leaves the machine."""
    assert checked_url(address).query.get("sslmode") == wanted


@pytest.mark.parametrize(
    "address",
    [
        "postgresql://bay@shop-server/hoodside?sslmode=disable",
        "postgresql://bay@shop-server/hoodside?sslmode=prefer",
        "postgresql://bay@localhost/hoodside?host=shop-server",
        "postgresql://bay@localhost/hoodside?hostaddr=192.0.2.7",
        "postgresql://shop-server/hoodside",
        "mysql://bay@shop-server/hoodside",
        "shop-server",
    ],
)
def test_an_address_that_would_go_in_clear_is_refused(address: str) -> None:
    """No way around it by the address itself."""
    with pytest.raises(UsageError):
        checked_url(address)


def test_tls_is_spoken_and_the_name_of_the_server_is_checked(shop: Shop) -> None:
    """With the shop's own certificate a bay comes in by TLS; under a name that it is not for, or without it, not."""
    told = {"sslmode": "verify-full", "sslrootcert": str(shop.server.certificate)}
    url = shop.account("bay-one", BAY).update_query_dict(told)
    query = text("SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid()")
    right = Link(url.set(host="localhost"))
    assert right.work(lambda connection: connection.execute(query).scalar()) is True
    right.close()
    with pytest.raises(ShopRefused, match="its certificate is not the one"):
        Link(url).work(lambda connection: None)  # by its number, which stands in no certificate
    with pytest.raises(ShopRefused, match="its certificate is not the one"):
        Link(url.set(host="localhost").update_query_dict({"sslrootcert": "system"})).work(lambda connection: None)


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


def parcel_of(journal: MemoryJournal, job: str) -> Parcel:
    """A job as its bay sends it."""
    entries = journal.entries(job)
    return Parcel(entries=entries, summary=summary_from(entries, job), told={})


class Stolen(Delivery):
    """Who has a bay's password and not its key."""

    def __init__(self, url: URL) -> None:
        super().__init__(url, lambda: UTC)

    def __enter__(self) -> Stolen:
        return self

    def __exit__(self, *about: object) -> None:
        self.close()


def test_chains_arrive_whole_whatever_the_size(bay: Any, owner: ShopDesk) -> None:
    """A job of thousands of facts goes in parts of one transaction."""
    one = bay("bay-one")
    one.journal.append(told("long", "k1", 2_500))
    assert one.drain() == 2_500
    assert faults(owner.entries("long")) == ()
    assert head_of(owner.entries("long")) == head_of(one.journal.entries("long")) != Head()

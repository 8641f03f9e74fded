"""Words at the shop's server: found, never obeyed, and gone from every file once they were removed."""

from __future__ import annotations

from typing import Any

import pytest

from assistant.adapters.journal_postgres import ShopDesk
from assistant.adapters.journal_postgres.lines import AT_ONCE
from assistant.facts import FactKind
from assistant.record.personal import REMOVED, Belonging
from assistant.record.summary import JobQuery
from assistant.record.verify import verify_job, verify_log
from tests.adapters.shop_bays import told
from tests.ports.journal_suite import fact
from tests.shop_server import Shop


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

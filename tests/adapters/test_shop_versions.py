"""Versions of the shop's store: told, brought up and down, and copies of older ones put back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from assistant.adapters.journal_postgres import ShopDesk
from assistant.adapters.journal_postgres.copies import dump
from assistant.adapters.journal_postgres.link import Link, engine_for
from assistant.adapters.journal_postgres.migrating import bring_to
from assistant.adapters.postgres_server import programs
from assistant.errors import ShopRefused
from assistant.record.summary import JobQuery
from assistant.record.verify import verify_job, verify_log
from assistant.wiring.shop_keeping import DATABASE, restore
from tests.adapters.shop_bays import BAY, told
from tests.shop_server import Shop


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

"""The address of the shop's server: nothing goes in clear off this machine."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from assistant.adapters.journal_postgres import checked_url
from assistant.adapters.journal_postgres.link import Link
from assistant.errors import ShopRefused, UsageError
from tests.adapters.shop_bays import BAY
from tests.shop_server import Shop


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

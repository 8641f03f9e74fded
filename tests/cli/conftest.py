"""A shop with its bays, for the tests of its commands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from assistant.__main__ import run
from tests.cli.shop_jobs import BAY, DESK, OWNER, job, keep

if TYPE_CHECKING:
    from tests.shop_server import Shop


@pytest.fixture
def join(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[object]:
    """Makes a machine of the shop: its data folder, joined."""
    from tests.shop_server import DATABASE, PASSWORD, end_drains  # noqa: PLC0415 - few tests need it

    monkeypatch.setenv("HOODSIDE_SHOP_PASSWORD", PASSWORD)

    def one(name: str, *roles: str) -> Path:
        shop.account(name, *roles)
        folder = tmp_path / name
        address = f"postgresql://{name}@127.0.0.1:{shop.server.port}/{DATABASE}"
        assert run(["shop", "join", address, "--data", str(folder)]) == 0
        return folder

    yield one
    end_drains(shop, tmp_path)


@pytest.fixture
def bays(join: object) -> tuple[Path, Path, Path]:
    """Two bays with a job each on the same car, sent, and a desk that is the owner's too."""
    one, two = join("bay-one", BAY), join("bay-two", BAY, DESK)  # type: ignore[operator]  # the fixture above
    keep(one, job("blue", "k1"))
    keep(two, job("red", "k2", mileage="80,600 km"), "2031-05-11")
    for bay in (one, two):
        assert run(["shop", "drain", "--data", str(bay)]) == 0
    return one, two, join("desk", DESK, OWNER)  # type: ignore[operator]  # as above

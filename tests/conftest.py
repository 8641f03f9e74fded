"""For all tests: none is judged by its time, which on a busy machine says nothing; none touches the user's own key."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

# Read as numpy loads: two workers with two threads each get in each other's way on two cores.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from tests.shop_server import Shop

settings.register_profile("untimed", settings.default, deadline=None)  # in CI also without chance, as it comes
settings.register_profile(
    "campaign", settings.default, deadline=None, max_examples=int(os.environ.get("FUZZ_CASES", "12000"))
)
settings.load_profile("untimed")


@pytest.fixture(autouse=True, scope="session")
def key_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The installation's key of a test run lies in a folder of the run."""
    folder = tmp_path_factory.mktemp("settings")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(folder))
        yield folder


@pytest.fixture(scope="session")
def running_shop() -> "Iterator[Shop]":
    """One PostgreSQL server for all tests of this worker; skips, or with CI=true fails, where there is none."""
    from tests.shop_server import serving  # noqa: PLC0415 - few tests need it

    with serving() as shop:
        yield shop


@pytest.fixture
def shop(running_shop: "Shop") -> "Shop":
    """The server with an empty store."""
    if not running_shop.server.runs():
        running_shop.server.start()
    running_shop.empty()
    return running_shop

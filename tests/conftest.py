"""For all tests: none is judged by its time, which on a busy machine says nothing; none touches the user's own key."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

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

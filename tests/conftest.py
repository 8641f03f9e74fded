"""For all tests: none is judged by its time, which on a busy machine says nothing; none touches the user's own key."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from xdist.scheduler import LoadFileScheduling, LoadScopeScheduling

settings.register_profile("untimed", settings.default, deadline=None)  # in CI also without chance, as it comes
settings.load_profile("untimed")


class ByFile(LoadFileScheduling):  # type: ignore[misc]
    """A file's tests go to one worker, which builds what they share once; all live sound to one: it has one card."""

    def _split_scope(self, nodeid: str) -> str:
        path = str(super()._split_scope(nodeid))
        return "tests/live" if path.startswith("tests/live/") else path


def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> LoadScopeScheduling:
    return ByFile(config, log)


@pytest.fixture(autouse=True, scope="session")
def key_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The installation's key of a test run lies in a folder of the run."""
    folder = tmp_path_factory.mktemp("settings")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(folder))
        yield folder

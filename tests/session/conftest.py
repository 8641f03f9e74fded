"""The shipped procedures, read once."""

import pytest

from tests.guide.conftest import read_library


@pytest.fixture(scope="session")
def library():
    """Every shipped procedure by id."""
    return read_library()

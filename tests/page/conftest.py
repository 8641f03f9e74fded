"""The shipped procedures and their fault model at work."""

import pytest

from assistant.reasoning.reasoner import make_reasoner
from assistant.wiring import load_model
from tests.guide.conftest import read_library


@pytest.fixture(scope="module")
def library_reasoner():
    """Both."""
    return read_library(), make_reasoner(load_model("no-start"))

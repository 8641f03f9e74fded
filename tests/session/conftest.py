"""The shipped procedures and fault model, read once, and jobs that think with them."""

import pytest

from assistant.guide import Library
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.session.adviser import Adviser
from assistant.wiring import load_model
from tests.guide.conftest import read_library
from tests.session.led_jobs import SAFE, lead
from tests.session.room import Room


@pytest.fixture(scope="session")
def library():
    """Every shipped procedure by id."""
    return read_library()


@pytest.fixture(scope="session")
def reasoner() -> Reasoner:
    """The shipped fault model at work."""
    return make_reasoner(load_model("no-start"))


@pytest.fixture
def room(library: Library, reasoner: Reasoner) -> Room:
    """A job at its first step."""
    return Room(library, adviser=Adviser(reasoner, library))


@pytest.fixture
def led(library: Library, reasoner: Reasoner) -> Room:
    """A led job behind intake and safety."""
    job = Room(library, adviser=Adviser(reasoner, library), leads=True)
    lead(job, library, SAFE)
    return job

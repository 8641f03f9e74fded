"""The shipped procedures, read once."""

from functools import cache
from pathlib import Path

import pytest

from assistant.procedure.reader import read_procedure

PROCEDURES = Path(__file__).parents[2] / "procedures"


def read_library():
    """Every shipped procedure by id."""
    return dict(_shipped())


@cache
def _shipped():
    library = {}
    for path in sorted(PROCEDURES.glob("*.yaml")):
        if not path.name.endswith(".faults.yaml"):
            loaded = read_procedure(str(path), path.read_text(encoding="utf-8"))
            assert loaded.procedure is not None, loaded.faults
            library[loaded.procedure.id] = loaded.procedure
    return library


@pytest.fixture(scope="session")
def library():
    """Every shipped procedure by id."""
    return read_library()

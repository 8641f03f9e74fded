"""The shipped procedures, read once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from assistant.procedure.model import Procedure
from assistant.procedure.reader import read_procedure

FOLDER = Path(__file__).parents[2] / "procedures"


@pytest.fixture(scope="session")
def shipped() -> Mapping[str, Procedure]:
    """Every shipped procedure by its id."""
    files = [path for path in sorted(FOLDER.glob("*.yaml")) if not path.name.endswith(".faults.yaml")]
    loaded = [read_procedure(path.name, path.read_text(encoding="utf-8")) for path in files]
    assert [fault for each in loaded for fault in each.faults] == []
    return {each.procedure.id: each.procedure for each in loaded if each.procedure is not None}

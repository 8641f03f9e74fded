"""What faults are called, read off the text of their model."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.wiring import load_model
from assistant.wiring.fault_names import fault_names
from assistant.wiring.folders import shipped_folder


@pytest.mark.parametrize("path", sorted(shipped_folder("procedures").glob("*.faults.yaml")), ids=lambda path: path.stem)
def test_the_names_are_those_of_the_model(path: Path) -> None:
    """Every fault of every shipped model, word for word as its own reader has it."""
    model = load_model(str(path))
    assert fault_names(path.name.removesuffix(".faults.yaml"), None) == {one.id: one.say for one in model.faults}


def test_where_there_is_no_model_there_are_no_names(tmp_path: Path) -> None:
    """Neither a missing file nor one of another make stops a report."""
    assert fault_names("nothing", None) == {}
    (tmp_path / "odd.faults.yaml").write_bytes(b"\xff faults: []")
    assert fault_names("odd", str(tmp_path / "odd.yaml")) == {}

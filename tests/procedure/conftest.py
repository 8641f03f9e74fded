"""What the tests of the procedure room share."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
SHIPPED = [file for file in sorted((ROOT / "procedures").glob("*.yaml")) if ".faults." not in file.name]


@pytest.fixture(scope="session")
def every_kind() -> str:
    """The text of a made-up job with every kind of step."""
    return (HERE / "every-kind.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def lamp() -> dict[str, str]:
    """Path and text of the made-up procedure that others call."""
    path = ROOT / "tests" / "broken" / "beside" / "lamp.yaml"
    return {"lamp.yaml": path.read_text(encoding="utf-8")}


@pytest.fixture(scope="session")
def shipped() -> dict[str, str]:
    """Path and text of every shipped procedure."""
    return {f"procedures/{file.name}": file.read_text(encoding="utf-8") for file in SHIPPED}

"""The table of faults: each test adds the rows that it has seen, and they are printed at the end of the run.

`FAULTS_TABLE=FILE pytest tests/faults` also writes them, as a table in Markdown.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.adapters.conftest import portaudio as portaudio
from tests.guide.conftest import read_library

HEAD = ("fault", "what the technician gets", "within", "kept", "how it goes on")
MARK = "fault-row"
SOON_S = 3.0
"""So soon every loss is told. Source: the issue's measure."""

Row = Callable[..., None]
_rows: list[tuple[str, ...]] = []


@pytest.fixture(scope="session")
def library() -> Any:
    """Every shipped procedure by id."""
    return read_library()


@pytest.fixture
def row(request: pytest.FixtureRequest) -> Row:
    """Adds a row to the table. `within_s`: seconds until the first word, tone or notice; more than three fail."""

    def add(fault: str, *, told: str, within_s: float | None, kept: str, goes_on: str) -> None:
        assert within_s is None or 0.0 <= within_s <= SOON_S, (fault, within_s)
        within = "at once" if within_s is not None and within_s < 0.05 else f"{within_s:.1f} s" if within_s else "-"
        request.node.user_properties.append((MARK, (fault, told, within, kept, goes_on)))

    return add


@pytest.hookimpl
def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """A test that passed hands its rows in, from another process too."""
    if report.when == "call" and report.passed:
        _rows.extend(tuple(value) for name, value in report.user_properties if name == MARK)


@pytest.hookimpl(wrapper=True)
def pytest_terminal_summary(terminalreporter: Any) -> Iterator[None]:
    """Print the table."""
    if _rows:
        lines = [f"| {' | '.join(cells)} |" for cells in (HEAD, ("---",) * len(HEAD), *sorted(_rows))]
        terminalreporter.section("faults")
        terminalreporter.write_line("\n".join(lines))
        if file := os.environ.get("FAULTS_TABLE"):
            Path(file).write_text("\n".join(lines) + "\n", encoding="utf-8")
    return (yield)

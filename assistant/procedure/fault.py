"""One fault in a file: where it stands, what was found, what was expected, what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from assistant.procedure.model import Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A fault that the author of a file must mend. `line` and `column` count from 1.

    `step` is the id of the part that holds the fault, None for the file itself; `noun` says what kind of part it is.
    """

    path: str
    line: int
    column: int
    step: str | None
    message: str
    noun: str = "step"

    def __str__(self) -> str:
        part = f" {self.noun} '{self.step}'" if self.step is not None else ""
        return f"{self.path}:{self.line}:{self.column}{part}: {self.message}"

    def plain(self) -> dict[str, Any]:
        """The fault as JSON values."""
        return {
            "path": self.path,
            "line": self.line,
            "column": self.column,
            "part": self.noun if self.step is not None else None,
            "step": self.step,
            "message": self.message,
        }


def by_place(fault: Fault) -> tuple[str, int, int, str]:
    """Sort key: file, line, column, then words."""
    return fault.path, fault.line, fault.column, fault.message


class Faults:
    """Gathers the faults of one file, so that all are told at once."""

    def __init__(self, path: str) -> None:
        self.path = path
        self._found: list[Fault] = []

    def add(self, spot: Spot, message: str, *, step: str | None = None, noun: str = "step") -> None:
        """Note one fault at `spot`."""
        self._found.append(
            Fault(path=self.path, line=spot.line, column=spot.column, step=step, message=message, noun=noun)
        )

    def __len__(self) -> int:
        return len(self._found)

    def in_order(self) -> tuple[Fault, ...]:
        """All faults by place, each once."""
        return tuple(sorted(set(self._found), key=by_place))

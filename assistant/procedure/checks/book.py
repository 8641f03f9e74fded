"""What every check gets: one procedure among its library, and where to note faults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.procedure.fault import Faults
from assistant.procedure.model import Procedure, Spot, Spots, Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The library that is checked. `broken`: ids whose flow could not be read in full."""

    procedures: Mapping[str, Procedure]
    broken: frozenset[str] = frozenset()


class Page:
    """One procedure being checked."""

    def __init__(self, procedure: Procedure) -> None:
        self.procedure = procedure
        self.faults = Faults(procedure.path or f"{procedure.id}.yaml")

    def step_fault(self, step: Step, key: str, message: str) -> None:
        """Note a fault at a key of a step."""
        self.faults.add(at(step.spots, key, step.spot), message, step=step.id)

    def part_fault(self, noun: str, part_id: str, spot: Spot, message: str) -> None:
        """Note a fault of a caution, gate, limit or source."""
        self.faults.add(spot, message, step=part_id, noun=noun)

    def file_fault(self, key: str, message: str) -> None:
        """Note a fault of the file itself."""
        self.faults.add(at(self.procedure.spots, key, Spot(line=1, column=1)), message)


def at(spots: Spots, key: str, otherwise: Spot) -> Spot:
    """Where a value stands: `key.0` falls back to `key`, and that to `otherwise`."""
    return spots.get(key) or spots.get(key.partition(".")[0]) or otherwise

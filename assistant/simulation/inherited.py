"""What an earlier job can have left of the car that a job begins with."""

from __future__ import annotations

from assistant.facts import Left, LeftMark
from assistant.procedure.condition import OF_THE_CAR, Condition


def _left(*conditions: Condition) -> Left:
    """As the first fact of a job keeps it."""
    return Left(marks=tuple(LeftMark(condition=each, fact=f"earlier-{each}") for each in conditions))


INHERITED = (*(_left(each) for each in sorted(OF_THE_CAR)), _left(*sorted(OF_THE_CAR)))
"""Each thing that a job can leave of a car, and all of it at once."""

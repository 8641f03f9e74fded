"""The three ways to speak, and whom to speak to in which."""

from __future__ import annotations

from enum import StrEnum


class Manner(StrEnum):
    """How much is said."""

    FULL = "full"  # everything, with each answer read back
    BRIEF = "brief"  # to who knows the work: short forms, echoes
    TERSE = "terse"  # the same in words of the trade alone


FIRST_JOBS = 3
"""So many jobs of a person are led in full before the brief way becomes the usual one."""


def usual(jobs: int) -> Manner:
    """The way to speak to somebody who has done so many jobs with us."""
    return Manner.FULL if jobs < FIRST_JOBS else Manner.BRIEF

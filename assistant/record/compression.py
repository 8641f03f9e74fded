"""Compression of an engine: two tests that never share a verdict."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """The compression of one cylinder as last read. `low`: below the floor of its own reading."""

    cylinder: int
    value: float
    fact: str
    low: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Evenness:
    """The lowest cylinder against the highest: `share` is one over the other; `passes` says share >= limit_share."""

    passes: bool
    lowest: float
    highest: float
    share: float
    limit_share: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """Each cylinder against the least that it should reach: `low` are the cylinders below, `passes` says none is."""

    passes: bool
    floor: float
    low: tuple[int, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Compression:
    """Compression over all cylinders read, in the meter's unit: two tests, each with its own verdict.

    `level` is None where no floor judged the readings.
    """

    unit: str
    cylinders: tuple[Cylinder, ...]
    evenness: Evenness
    level: Level | None

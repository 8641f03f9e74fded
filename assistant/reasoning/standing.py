"""How sure a finding is: the one place that decides whether "proved" may be said of it, spoken or printed.

The word yields to the odds. What a test showed stands as "found by test" and claims no more than the test.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from assistant.english import reasoned
from assistant.reasoning.model import NONE_OF_THESE


class Standing(StrEnum):
    """What may be said of a finding. The values stand in facts and reports."""

    PROVED = "proved"  # the odds of this very fault have reached the model's line
    NOT_PROVED = "not-proved"  # no other fault is likelier, but the line is not reached or results do not fit
    OUTWEIGHED = "outweighed"  # the odds favour another fault
    BY_TEST = "by-test"  # no odds are reckoned for it: only the test speaks
    OPEN = "open"  # it names no fault


LEAST_PROVED = 0.95
"""No fault counts as proved below this, whatever line a fault model draws. Judgement."""


def standing_of(
    odds: Mapping[str, float],
    fault: str | None,
    *,
    proved_at: float = LEAST_PROVED,
    exact: bool = True,
    fits: bool = True,
    direct: bool = True,
) -> Standing:
    """The standing of a finding of `fault`, by the fault model's name for it; None where the finding names no fault.

    `odds`: fault -> probability; a fault that is not among them has no odds. `exact`: the model means just this fault,
    not a group that it belongs to. `fits`: the results do not contradict each other. `direct`: a test of this very
    fault was seen, not only what is left when others are out. `proved_at`: the model's line.
    """
    if fault is None:
        return Standing.OPEN
    if fault == NONE_OF_THESE or fault not in odds:
        return Standing.BY_TEST
    if odds[fault] >= max(proved_at, LEAST_PROVED):
        return Standing.PROVED if exact and fits and direct else Standing.NOT_PROVED
    rival = max((chance for other, chance in odds.items() if other != fault), default=0.0)
    return Standing.OUTWEIGHED if rival > odds[fault] else Standing.NOT_PROVED


LEADS: Mapping[str, str] = {
    Standing.NOT_PROVED: reasoned.NOT_PROVED_YET,
    Standing.OUTWEIGHED: reasoned.OTHER_IS_LIKELIER,
}
"""What stands before the words of a finding, by its standing; nothing where the words may stand alone."""


def lead(standing: str) -> str:
    """What must be said before the words of a finding; empty where they may stand alone, and for older records."""
    return LEADS.get(standing, "")

"""However little is said, no path loses the duty of a caution: the walks of simulate, spoken to briefly and tersely."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.guide import Library, advance
from assistant.guide.manner import warned_of
from assistant.language.manner import Manner
from assistant.procedure.model import Hazard
from assistant.simulation.coverage import Coverage
from assistant.simulation.search import search
from assistant.simulation.watch import Rule
from assistant.wiring import load_libraries, shipped_procedures

WALKED = ("fuel-substitute", "spark-check", "flooded", "battery-load-test")
"""Sprays, open sparks, cranking and clamps: what the table of hazards forbids most."""


@pytest.fixture(scope="module")
def library() -> Library:
    """Every shipped procedure."""
    return load_libraries(shipped_procedures())[1]


@pytest.mark.parametrize("manner", [Manner.BRIEF, Manner.TERSE])
@pytest.mark.parametrize("root", WALKED)
def test_no_hazard_begins_without_its_cautions(library: Library, root: str, manner: Manner) -> None:
    """Each was told in full before, named since with its acknowledgement, and told anew where its danger came up."""
    walked = search(library, root, Coverage(library), manner=manner)
    assert [str(found.wrong) for found in walked.found] == []
    assert walked.cautions > 1


def test_the_onlooker_notices_a_caution_that_was_never_told_in_full(library: Library) -> None:
    """A guide that takes every caution for known, as one that forgot what came up would, is found out."""

    def careless(library, state, said, at_s, *, choose=None):  # type: ignore[no-untyped-def] # as Lead
        known = tuple(warned_of(caution, at_s) for each in library.values() for caution in each.cautions)
        return advance(library, replace(state, warned=known), said, at_s, choose=choose)

    walked = search(library, "flooded", Coverage(library), lead=careless, manner=Manner.BRIEF)
    assert Rule.CAUTIONS in {found.wrong.rule for found in walked.found}


def test_each_manner_walks_the_same_hazards(library: Library) -> None:
    """What is said less changes no way: the same kinds of work begin, with the same cautions behind them."""
    whole = search(library, "flooded", Coverage(library))
    less = search(library, "flooded", Coverage(library), manner=Manner.TERSE)
    assert (whole.hazardous > 0) == (less.hazardous > 0)
    assert whole.findings == less.findings
    assert Hazard.CRANKING in {hazard for step in library["flooded"].steps for hazard in step.all_hazards}

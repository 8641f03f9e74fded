"""Signal words against their published definitions.

Source: ANSI Z535.4-2007 definitions as quoted at safetylabel.com/safetylabelstandards/ansi-signal-words.php:
DANGER, what will kill or hurt badly if not avoided, kept for the most extreme; WARNING, what could; CAUTION, what could
hurt lightly or moderately; NOTICE, practices that have nothing to do with injury.
Placement before the step: MIL-DTL-87268, 3.2.2.4 (technicalmanualspecsstandards.emilspec.com, page 6). Order warning,
caution, note: MIL-DTL-23618 (same site, page 10), whose words differ: its CAUTION is the NOTICE of ANSI.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.procedure.checks.cautions import HARMS_THINGS_ONLY, SEVERITY
from assistant.procedure.model import Caution, Hazard, Procedure, Signal
from assistant.procedure.reader import read_procedure

FOLDER = Path(__file__).parent.parent.parent / "procedures"

INJURES = {"danger": True, "warning": True, "caution": True, "notice": False}
"""Word → whether its definition speaks of injury."""
CERTAIN = {"danger": r"\bwill\b", "warning": r"\b(can|could|may)\b"}
"""Word → how its definition speaks of the outcome: DANGER will, WARNING could."""


def procedures() -> list[Procedure]:
    files = sorted(file for file in FOLDER.glob("*.yaml") if ".faults." not in file.name)
    read = [read_procedure(file.name, file.read_text(encoding="utf-8")).procedure for file in files]
    return [procedure for procedure in read if procedure is not None]


CAUTIONS = [
    pytest.param(caution, id=f"{procedure.id}-{caution.id}")
    for procedure in procedures()
    for caution in procedure.cautions
]


def test_the_words_are_those_four_gravest_first() -> None:
    """No other signal word exists, and the order is that of the definitions."""
    assert [signal.value for signal in SEVERITY] == list(INJURES)
    assert set(SEVERITY) == set(Signal)


def test_hazards_of_things_are_those_without_injury() -> None:
    """Only what harms the vehicle may be told as NOTICE: catalyst and starter."""
    assert set(HARMS_THINGS_ONLY) == {Hazard.CATALYST_DAMAGE, Hazard.STARTER_HEAT}


@pytest.mark.parametrize("caution", CAUTIONS)
def test_shipped_cautions_use_the_word_that_fits(caution: Caution) -> None:
    """NOTICE only where nobody is hurt and always there; DANGER says will, WARNING says can."""
    hurts = bool(caution.covers - HARMS_THINGS_ONLY)
    assert INJURES[caution.signal.value] is hurts
    pattern = CERTAIN.get(caution.signal.value)
    if pattern:
        assert re.search(pattern, caution.consequence)
    if caution.signal is not Signal.DANGER:
        assert not re.search(r"\bwill\b", caution.consequence)


def test_shipped_cautions_stand_before_their_step_gravest_first() -> None:
    """In every file the cautions are written above the words of the step, in the order of gravity."""
    for procedure in procedures():
        signals = {caution.id: caution.signal for caution in procedure.cautions}
        for step in procedure.steps:
            ranks = [SEVERITY.index(signals[name]) for name in step.cautions]
            assert ranks == sorted(ranks)
            if step.cautions:
                above, below = step.spots["cautions"], step.spots["say"]
                assert (above.line, above.column) < (below.line, below.column)

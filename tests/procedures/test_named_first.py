"""By the odds every known car ends with its own fault named first, whatever sentence its procedure closes with."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from assistant.procedure.model import Procedure
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.posterior import believe, fault_odds
from assistant.reasoning.reader import read_model
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.session.adviser import Adviser
from tests.procedures import fault_player

MODEL = Path(__file__).parents[2] / "procedures" / "no-start.faults.yaml"
FAULTS = [fault for fault in fault_player.known_faults() if fault.procedure == "no-start"]
USUAL = fault_player.usual_answers()
NAMES_NO_FAULT = {"cam-sensor", "diesel-car", "hybrid-car", "injectors-stuck"}
"""Files whose finding stays open, or says that this guide is not for the car."""


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    """The shipped fault model at work."""
    return make_reasoner(read_model(MODEL.name, MODEL.read_text(encoding="utf-8")))


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_the_fault_is_named_first(
    shipped: Mapping[str, Procedure], reasoner: Reasoner, fault: fault_player.Fault
) -> None:
    """No other fault is likelier at the end, and none of the known cars is a fault beyond the model."""
    adviser = Adviser(reasoner, shipped)
    fault_player.play(shipped, fault, USUAL, adviser.think_over)
    meant = reasoner.model.meant_by(fault.finding)
    if fault.name in NAMES_NO_FAULT:
        assert meant is None
        return
    assert meant not in (None, NONE_OF_THESE)
    odds = fault_odds(reasoner.network, believe(reasoner.network, adviser.evidence))
    assert next(iter(odds)) == meant, list(odds.items())[:3]

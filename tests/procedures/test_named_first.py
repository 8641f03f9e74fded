"""By the odds every known car ends with its own fault named first, whatever sentence its procedure closes with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
import yaml

from assistant.procedure.model import Procedure
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.posterior import fault_odds
from assistant.reasoning.reader import read_model
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.session.thoughts import belief_of
from tests.procedures import fault_player

MODEL = Path(__file__).parents[2] / "procedures" / "no-start.faults.yaml"
FAULTS = [fault for fault in fault_player.known_faults() if fault.procedure == "no-start"]
USUAL = fault_player.usual_answers()
OddsOf = Callable[[fault_player.Fault], Mapping[str, float]]

NAMES_NO_FAULT = {"diesel-car", "hybrid-car", "injectors-stuck"}
"""Files whose finding stays open, or says that this guide is not for the car."""


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    """The shipped fault model at work."""
    return make_reasoner(read_model(MODEL.name, MODEL.read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def odds_of(
    shipped: Mapping[str, Procedure], reasoner: Reasoner
) -> Callable[[fault_player.Fault], Mapping[str, float]]:
    """The odds of each fault at the end of a car's job, played once."""
    known: dict[str, Mapping[str, float]] = {}

    def played(fault: fault_player.Fault) -> Mapping[str, float]:
        if fault.name not in known:
            facts = fault_player.play(shipped, fault, USUAL).facts
            known[fault.name] = fault_odds(reasoner.network, belief_of(reasoner, facts))
        return known[fault.name]

    return played


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_the_fault_is_named_first(odds_of: OddsOf, reasoner: Reasoner, fault: fault_player.Fault) -> None:
    """No other fault is likelier at the end, and none of the known cars is a fault beyond the model."""
    meant, odds = reasoner.model.meant_by(fault.finding), odds_of(fault)
    if fault.name in NAMES_NO_FAULT:
        assert meant is None
        return
    assert meant not in (None, NONE_OF_THESE)
    assert next(iter(odds)) == meant, list(odds.items())[:3]


def test_four_in_five_faults_reach_nine_in_ten(odds_of: OddsOf, reasoner: Reasoner) -> None:
    """Of the cars with a fault of the model at least 80 % end with 90 % or more for that fault."""
    meant = {fault.name: reasoner.model.meant_by(fault.finding) for fault in FAULTS if fault.name not in NAMES_NO_FAULT}
    reached = {fault.name: odds_of(fault)[str(meant[fault.name])] for fault in FAULTS if fault.name in meant}
    sure = [name for name, chance in reached.items() if chance >= 0.9]
    assert len(sure) >= 0.8 * len(reached), {name: round(reached[name], 3) for name in reached if name not in sure}


FRESH_CARS = Path(__file__).parents[1] / "dialogues" / "fresh" / "cars.yaml"
FRESH = [
    fault_player.Fault(
        name=car["name"],
        fault=car["fault"],
        procedure="no-start",
        answers={step: tuple(said) if isinstance(said, list) else (said,) for step, said in car["answers"].items()},
        ends="",
        finding=car["means"],
        still_open=None,
    )
    for car in yaml.safe_load(FRESH_CARS.read_text(encoding="utf-8"))
]


@pytest.mark.parametrize("car", FRESH, ids=lambda car: car.name)
def test_a_fresh_car_is_named_first_too(odds_of: OddsOf, car: fault_player.Fault) -> None:
    """Cars whose answers were written before any odds of them were reckoned end with their own fault named first."""
    odds = odds_of(car)
    assert next(iter(odds)) == car.finding, list(odds.items())[:3]

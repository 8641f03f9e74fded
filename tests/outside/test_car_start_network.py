"""Posteriors against published worked examples.

Network A: Jensen & Nielsen, Bayesian Networks and Decision Graphs (2007), p. 35, tables and figures as published in the
tutorial of github.com/hackl/pybn; the figures marked published are printed there (0.29 / 0.58 and 0.804 / 0.001), the
rest is derived from the same tables by two independent codes. Network B: Barber, Bayesian Reasoning and Machine
Learning (2012), car start exercise, name from memory, tables as seen in public code; figures derived.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.reasoning.network import compile_network
from assistant.reasoning.posterior import believe, fault_odds, value_odds
from assistant.reasoning.reader import read_model

FOLDER = Path(__file__).parent / "fault_models"


def odds(name: str, evidence: dict[str, str]) -> dict[str, float]:
    path = FOLDER / f"{name}.faults.yaml"
    network = compile_network(read_model(str(path), path.read_text(encoding="utf-8")))
    return fault_odds(network, believe(network, evidence))


def test_prior_of_network_a() -> None:
    """Before anything is seen the car fails to start in 6.8216 % and the meter stands as derived (published tables)."""
    path = FOLDER / "car-start-a.faults.yaml"
    network = compile_network(read_model(str(path), path.read_text(encoding="utf-8")))
    nothing = believe(network, {})
    assert value_odds(network, nothing, "start")["no"] == pytest.approx(0.068216, abs=1e-6)
    meter = value_odds(network, nothing, "fuel-meter")
    assert meter == pytest.approx({"full": 0.38222, "half": 0.58802, "empty": 0.02976}, abs=1e-6)


def test_network_a_does_not_start() -> None:
    """A car that does not start lacks fuel with 0.29 and has dirty plugs with 0.58 (published, two digits)."""
    found = odds("car-start-a", {"start": "no"})
    assert (round(found["no-fuel"], 2), round(found["dirty-plugs"], 2)) == (0.29, 0.58)
    assert found["no-fuel"] == pytest.approx(0.293186, abs=1e-6)
    assert found["dirty-plugs"] == pytest.approx(0.580626, abs=1e-6)


def test_network_a_meter_at_half() -> None:
    """With the meter at half the plugs take the blame: 0.804 against 0.001 (published, three digits)."""
    found = odds("car-start-a", {"start": "no", "fuel-meter": "half"})
    assert (round(found["dirty-plugs"], 3), round(found["no-fuel"], 3)) == (0.804, 0.001)
    assert found["dirty-plugs"] == pytest.approx(0.804350, abs=1e-6)
    assert found["no-fuel"] == pytest.approx(0.000691, abs=1e-6)


def test_network_a_meter_at_empty() -> None:
    """An empty meter explains the plugs away (derived)."""
    found = odds("car-start-a", {"start": "no", "fuel-meter": "empty"})
    assert found["no-fuel"] == pytest.approx(0.976413, abs=1e-6)
    assert found["dirty-plugs"] == pytest.approx(0.058041, abs=1e-6)


@pytest.mark.parametrize(
    ("evidence", "empty", "battery"),
    [
        ({"start": "no"}, 0.453747, 0.192739),
        ({"start": "no", "turns-over": "yes"}, 0.828829, 0.000421),
        ({"start": "no", "turns-over": "no"}, 0.049525, 0.400000),
    ],
)
def test_network_b(evidence: dict[str, str], empty: float, battery: float) -> None:
    """A test that depends on another test moves both faults as the tables say (derived)."""
    found = odds("car-start-b", evidence)
    assert found["tank-empty"] == pytest.approx(empty, abs=1e-6)
    assert found["battery-bad"] == pytest.approx(battery, abs=1e-6)

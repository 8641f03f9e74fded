"""How the time of a posterior update grows with the number of faults, two at once allowed, on a made-up model."""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np

from assistant.procedure.model import Place
from assistant.reasoning.model import JUDGEMENT, Fault, Model, Priors, Row, Settings, Value, Variable, Work
from assistant.reasoning.network import compile_network
from assistant.reasoning.posterior import believe, fault_odds

SIZES = (25, 50, 100, 200, 350, 500)
FITTED_FROM = 100
TESTS = 20
FINDINGS = 10
REPEATS = 25


def measure_growth(sizes: Sequence[int] = SIZES) -> dict[int, float]:
    """Faults → milliseconds of one update with ten findings, the least of some repeats."""
    found = {}
    for size in sizes:
        network = compile_network(made_up_model(size))
        evidence = {f"test-{number}": "bad" if number < 2 else "good" for number in range(FINDINGS)}
        took = []
        for _ in range(REPEATS):
            began = time.perf_counter()
            fault_odds(network, believe(network, evidence))
            took.append((time.perf_counter() - began) * 1000)
        found[size] = min(took)
    return found


def growth_exponent(growth: dict[int, float]) -> float:
    """Slope of log time over log faults, fitted to the sizes from 100 on, where the fixed cost no longer hides it."""
    sizes = [size for size in growth if size >= FITTED_FROM]
    return float(np.polyfit(np.log(sizes), np.log([growth[size] for size in sizes]), 1)[0])


def made_up_model(faults: int) -> Model:
    """A model with so many equal faults, one condition that half of them bring about, and tests that each see some."""
    names = [f"fault-{number}" for number in range(faults)]
    share = 0.95 / faults
    condition = _variable("sagging", (Row(under=tuple(names[::2]), given={}, likely=(0.2, 0.8)),), None)
    tests = tuple(
        _variable(
            f"test-{number}",
            (
                Row(under=tuple(names[number::TESTS]), given={}, likely=(0.1, 0.9)),
                *((Row(under=(), given={"sagging": ("bad",)}, likely=(0.6, 0.4)),) if number % 5 == 0 else ()),
            ),
            Work(place=Place.HOOD, minutes=1.0),
        )
        for number in range(TESTS)
    )
    return Model(
        id="made-up",
        version=1,
        title="made up",
        settings=Settings(priors=Priors.SHARES, none_of_these=0.05, two_faults=0.03, wrong_answers=0.05),
        faults=tuple(Fault(id=name, say=name, prior=share, source=JUDGEMENT) for name in names),
        conditions=(condition,),
        tests=tests,
    )


def _variable(name: str, rows: tuple[Row, ...], work: Work | None) -> Variable:
    return Variable(
        id=name,
        say=name,
        values=(Value(id="good", say="good"), Value(id="bad", say="bad")),
        default=(0.95, 0.05),
        rows=rows,
        source=JUDGEMENT,
        work=work,
    )

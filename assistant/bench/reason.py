"""`hoodside bench reason`: how good the choice of tests is, and how fast an answer comes.

2,000 made-up cars are met by every way of choosing tests, each car with the same answers (paired). Intervals are 95 %:
Wilson's for shares, bootstrap over cars for minutes and their ratios.
"""

from __future__ import annotations

import json
import multiprocessing
import signal
import time
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from functools import partial
from math import sqrt
from pathlib import Path
from typing import Any, TextIO

import click
import numpy as np
from numpy.typing import NDArray

from assistant.bench.reason_cars import (
    Car,
    Outcome,
    draw_cars,
    in_order,
    look_ahead,
    one_step,
    probability_over_cost,
    work_on,
)
from assistant.bench.reason_growth import growth_exponent, measure_growth
from assistant.bench.reason_picture import draw_ways
from assistant.bench.reason_tree import walk_tree
from assistant.errors import UsageError
from assistant.reasoning.model import Model
from assistant.reasoning.reasoner import form_opinion, make_reasoner
from assistant.record.wording import fitted
from assistant.wiring import load_model, procedures_at_hand, shipped_procedures

CARS = 2000
SEED = 7
RESAMPLES = 2000
TREE = "no-start"
AHEAD = "two tests ahead"
TREE_WAY = "fixed tree, to its finding"
HURRIED = {
    "two ahead, in the tree's time": {"proved_at": 0.95, "minutes_a_bit": 40.0},
    "two ahead, in 0.7 of its time": {"proved_at": 0.9, "minutes_a_bit": 20.0},
}
"""Settings that stop the assistant after about the tree's own mean minutes, and after 70 % of them; chosen on other
cars than these. They show what the same minutes buy; the shipped model stops later, since a tree that ends early is
seldom right."""
WAYS = (
    AHEAD,
    *HURRIED,
    "one test ahead",
    "probability over cost",
    "tests in file order",
    TREE_WAY,
    "fixed tree, then one ahead",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of choosing tests, measured. Pairs are 95 % intervals. `ratio`: the first way's mean minutes over this
    way's; `of_tree`: this way's over those of the fixed tree to its own finding."""

    name: str
    minutes: float
    minutes_between: tuple[float, float]
    median: float
    right: float
    right_between: tuple[float, float]
    proved: float
    tests: float
    ratio: float
    ratio_between: tuple[float, float]
    of_tree: float
    of_tree_between: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """All that the bench measured. `answer_ms`: median and 95th percentile of a whole opinion, on the clock;
    `answer_cpu_ms`: the same in time of the processor, which a busy machine does not lengthen."""

    cars: int
    seed: int
    ways: tuple[Way, ...]
    answer_ms: tuple[float, float]
    answer_cpu_ms: tuple[float, float]
    growth_ms: dict[int, float]
    growth_exponent: float


def measure_reason(cars: int = CARS, seed: int = SEED, processes: int = 2) -> Measured:
    """Measures every way on the same cars, the speed of an answer, and how it grows with the number of faults."""
    model = load_model(TREE)
    drawn = draw_cars(model, cars, seed)
    chunks = [drawn[start::processes] for start in range(processes)]
    with multiprocessing.Pool(processes, initializer=_leave_signals) as pool:
        parts = pool.map(partial(_run, model), chunks)
    found = {name: [outcome for part in parts for outcome in part[name]] for name in WAYS}
    growth = measure_growth()
    answer_ms, answer_cpu_ms = _answer_ms(model, drawn[:50])
    return Measured(
        cars=cars,
        seed=seed,
        ways=tuple(_summary(name, found[name], found[AHEAD], found[TREE_WAY], seed) for name in WAYS),
        answer_ms=answer_ms,
        answer_cpu_ms=answer_cpu_ms,
        growth_ms=growth,
        growth_exponent=growth_exponent(growth),
    )


def _leave_signals() -> None:
    """A worker does not answer Ctrl-C with a traceback of its own: whoever started it ends it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)


def _run(model: Model, cars: tuple[Car, ...]) -> dict[str, list[Outcome]]:
    reasoner = make_reasoner(model)
    procedures = procedures_at_hand(shipped_procedures())
    greedy = one_step(reasoner)
    ways: dict[str, Callable[[Car], Outcome]] = {
        AHEAD: partial(work_on, reasoner, strategy=look_ahead(reasoner)),
        **{name: _hurried(model, **settings) for name, settings in HURRIED.items()},
        "one test ahead": partial(work_on, reasoner, strategy=greedy),
        "probability over cost": partial(work_on, reasoner, strategy=probability_over_cost(reasoner)),
        "tests in file order": partial(work_on, reasoner, strategy=in_order(reasoner)),
        TREE_WAY: partial(walk_tree, reasoner, procedures, TREE),
        "fixed tree, then one ahead": partial(walk_tree, reasoner, procedures, TREE, go_on=greedy),
    }
    return {name: [way(car) for car in cars] for name, way in ways.items()}


def _hurried(model: Model, *, proved_at: float, minutes_a_bit: float) -> Callable[[Car], Outcome]:
    """The assistant's own choice of tests, with another rule to stop."""
    settings = replace(model.settings, proved_at=proved_at, minutes_a_bit=minutes_a_bit)
    hasty = make_reasoner(replace(model, settings=settings))
    return partial(work_on, hasty, strategy=look_ahead(hasty))


def _summary(name: str, outcomes: list[Outcome], ours: list[Outcome], tree: list[Outcome], seed: int) -> Way:
    minutes, mine, of_tree = (np.array([one.minutes for one in each]) for each in (outcomes, ours, tree))
    right = float(np.mean([outcome.right for outcome in outcomes]))
    rng = np.random.default_rng(seed)
    again = rng.integers(0, len(minutes), size=(RESAMPLES, len(minutes)))
    means, my_means, tree_means = (each[again].mean(axis=1) for each in (minutes, mine, of_tree))
    return Way(
        name=name,
        minutes=float(minutes.mean()),
        minutes_between=_middle(means),
        median=float(np.median(minutes)),
        right=right,
        right_between=wilson(right, len(outcomes)),
        proved=float(np.mean([outcome.proved for outcome in outcomes])),
        tests=float(np.mean([outcome.tests for outcome in outcomes])),
        ratio=float(mine.mean() / minutes.mean()),
        ratio_between=_middle(my_means / means),
        of_tree=float(minutes.mean() / of_tree.mean()),
        of_tree_between=_middle(means / tree_means),
    )


def wilson(share: float, count: int) -> tuple[float, float]:
    """95 % interval of a share. Source: Wilson's score interval (1927), formula from memory."""
    z = 1.96
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    return middle - half, middle + half


def _middle(values: NDArray[np.float64]) -> tuple[float, float]:
    low, high = np.quantile(values, (0.025, 0.975))
    return float(low), float(high)


def _answer_ms(model: Model, cars: tuple[Car, ...]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Median and 95th percentile of a whole opinion at every point on the way through some cars: clock, processor."""
    reasoner = make_reasoner(model)
    took, worked = [], []
    for car in cars:
        names = list(car.answers)[:20]
        for count in range(0, len(names), 4):
            evidence = {name: car.answers[name] for name in names[:count]}
            began, began_work = time.perf_counter(), time.process_time()
            form_opinion(reasoner, evidence)
            took.append((time.perf_counter() - began) * 1000)
            worked.append((time.process_time() - began_work) * 1000)
    clock, processor = ((float(np.median(each)), float(np.quantile(each, 0.95))) for each in (took, worked))
    return clock, processor


def table(measured: Measured) -> str:
    """The table as text."""
    lines = [
        f"{measured.cars} made-up cars (seed {measured.seed}), 5 % of answers wrong; intervals are 95 %",
        f"{'way of choosing tests':32}{'minutes':<23}right on top",
    ]
    for way in measured.ways:
        least, most = way.right_between
        lines += [
            f"{way.name:32}{way.minutes:5.1f} {_span(way.minutes_between, '.1f'):<17}{way.right:6.1%}"
            f" ({least:.1%} to {most:.1%})",
            f"    median {way.median:.1f} min, {way.tests:.1f} tests, proved {way.proved:.1%}",
            f"    our minutes over its {way.ratio:.2f} {_span(way.ratio_between, '.2f')}, "
            f"its over the tree's {way.of_tree:.2f} {_span(way.of_tree_between, '.2f')}",
        ]
    for name, (median, most) in (("clock", measured.answer_ms), ("processor", measured.answer_cpu_ms)):
        lines.append(f"answer, {name}: median {median:.1f} ms, 95th percentile {most:.1f} ms")
    grown = ", ".join(f"{count}: {took:.2f}" for count, took in measured.growth_ms.items())
    grows = f"grows as faults^{measured.growth_exponent:.2f}"
    lines.append(fitted(f"posterior update in ms by faults, two at once: {grown}; {grows}"))
    return "\n".join(lines)


def _span(pair: tuple[float, float], form: str) -> str:
    return f"({pair[0]:{form}} to {pair[1]:{form}})"


@click.command(epilog="Example: hoodside bench reason --cars 200 --plot reason.svg")
@click.option("--cars", default=CARS, show_default=True, type=click.IntRange(min=10), help="Made-up cars.")
@click.option("--seed", default=SEED, show_default=True, help="Another seed draws other cars.")
@click.option("--processes", default=2, show_default=True, type=click.IntRange(1, 64), help="Worked on at once.")
@click.option("--plot", type=click.Path(path_type=Path), help="Write the picture to this SVG file.")
@click.option("--from", "figures", type=click.File(), metavar="FILE", help="Only draw --plot, of what --json printed.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value in place of the table.")
def command(*, cars: int, seed: int, processes: int, plot: Path | None, figures: TextIO | None, as_json: bool) -> None:
    """Measure the choice of tests on made-up cars against other ways. The full run takes about half an hour."""
    if figures is not None:
        if plot is None:
            raise UsageError("--from draws; say where with --plot FILE.")
        _plot(plot, json.load(figures))
        return
    click.echo(f"{cars} made-up cars, eight ways each; 2,000 take about half an hour. Ctrl-C ends it.", err=True)
    measured = measure_reason(cars, seed, processes)
    click.echo(json.dumps(asdict(measured)) if as_json else table(measured))
    if plot is not None:
        _plot(plot, asdict(measured))


def _plot(file: Path, measured: Mapping[str, Any]) -> None:
    """Draw what was measured, as `--json` tells it."""
    keys = ("name", "minutes", "minutes_between", "right", "right_between")
    rows = [tuple(way[key] for key in keys) for way in measured["ways"]]
    file.write_text(draw_ways(rows, measured["cars"]), encoding="utf-8")
    click.echo(f"Picture: {file}", err=True)

"""`hoodside bench reason`: minutes until a made-up car runs, by each way of choosing tests and repairs.

Every car is met by every way with the same answers (paired). Half of the cars come from bent models, a tenth has two
faults, a twentieth of the answers is wrong. Intervals are 95 %: Wilson's for shares, bootstrap over cars for the rest.
"""

from __future__ import annotations

import json
import multiprocessing
import signal
import time
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from typing import Any, TextIO

import click
import numpy as np
from numpy.typing import NDArray

from assistant.bench.accuracy import wilson
from assistant.bench.reason_cars import Car, Outcome, brier, draw_cars, reliability, work_on
from assistant.bench.reason_findings import Told, together, told_of
from assistant.bench.reason_growth import growth_exponent, measure_growth
from assistant.bench.reason_picture import draw_reliability, draw_ways
from assistant.bench.reason_tree import walk_tree
from assistant.bench.reason_ways import advised, asked_tests, greedy, knows_the_fault, own_checks, planned
from assistant.errors import UsageError
from assistant.reasoning.model import Model
from assistant.reasoning.planner import Readiness, make_plan
from assistant.reasoning.posterior import believe
from assistant.reasoning.reasoner import make_reasoner
from assistant.record.wording import fitted
from assistant.wiring import load_model, procedures_at_hand, shipped_procedures

CARS = 2000
SEED = 7
RESAMPLES = 2000
TREE = "no-start"
PLANNED = "the planner"
BOOK = "by the book"
WAYS = (PLANNED, "greedy expected cost", "the adviser as it was", BOOK, "knows the fault, tests once")
EDGES = np.array([0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0001])
"""Bands of the odds in which the first repairs are held against the truth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way, measured. Pairs are 95 % intervals. Minutes are those beyond the needed repairs; `plain` and `bent`: by
    the model that the car came from; `of_book`: these minutes over those by the book. `right`: the first repair was
    needed. `wrong_parts`: fitted in vain, per car. `brier`: of the odds when the first repair was proposed;
    `reliability`: mean odds, share right and count, band by band.
    """

    name: str
    minutes: float
    minutes_between: tuple[float, float]
    median: float
    plain: float
    bent: float
    of_book: float
    of_book_between: tuple[float, float]
    right: float
    right_between: tuple[float, float]
    wrong_parts: float
    wrong_parts_between: tuple[float, float]
    tests: float
    brier: float
    reliability: list[tuple[float, float, int]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """All that the bench measured. `told`: its findings in words. `answer_ms`: median and 95th percentile of a whole
    plan, on the clock; `answer_cpu_ms`: the same in time of the processor, which a busy machine does not lengthen."""

    cars: int
    seed: int
    ways: tuple[Way, ...]
    told: Told
    answer_ms: tuple[float, float]
    answer_cpu_ms: tuple[float, float]
    growth_ms: dict[int, float]
    growth_exponent: float


def measure_reason(cars: int = CARS, seed: int = SEED, processes: int = 2) -> Measured:
    """Measures every way on the same cars, the speed of a plan, and how it grows with the number of faults."""
    model = load_model(TREE)
    drawn = draw_cars(model, cars, seed)
    chunks = [drawn[start::processes] for start in range(processes)]
    with multiprocessing.Pool(processes, initializer=leave_signals) as pool:
        parts = pool.map(partial(_run, model), chunks)
    # In the order of the cars again: chunk k holds every car from k on in steps of the processes.
    found = {name: [parts[at % processes][0][name][at // processes] for at in range(cars)] for name in WAYS}
    growth = measure_growth()
    answer_ms, answer_cpu_ms = _answer_ms(model, drawn[:50])
    return Measured(
        cars=cars,
        seed=seed,
        ways=tuple(_summary(name, found[name], found[BOOK], drawn, seed) for name in WAYS),
        told=together(told for _, told in parts),
        answer_ms=answer_ms,
        answer_cpu_ms=answer_cpu_ms,
        growth_ms=growth,
        growth_exponent=growth_exponent(growth),
    )


def leave_signals() -> None:
    """A worker does not answer Ctrl-C with a traceback of its own: whoever started it ends it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)


def _run(model: Model, cars: tuple[Car, ...]) -> tuple[dict[str, list[Outcome]], Told]:
    """What became of each car by each way, and what is said of it where the planner proposed its first repair."""
    reasoner = make_reasoner(model)
    procedures = procedures_at_hand(shipped_procedures())
    among = asked_tests(model, procedures)
    ways: tuple[Callable[[Car], Outcome], ...] = (
        partial(work_on, reasoner, step=planned(among)),
        partial(work_on, reasoner, step=greedy(among)),
        partial(work_on, reasoner, step=advised(among)),
        partial(walk_tree, reasoner, procedures, TREE),
        partial(knows_the_fault, reasoner, own_checks(reasoner, among)),
    )
    found = {name: [way(car) for car in cars] for name, way in zip(WAYS, ways, strict=True)}
    beliefs = (believe(reasoner.network, one.seen, one.again) for one in found[PLANNED])
    return found, together(told_of(reasoner, belief) for belief in beliefs)


def _summary(name: str, outcomes: list[Outcome], book: list[Outcome], cars: tuple[Car, ...], seed: int) -> Way:
    minutes, by_book = (np.array([one.minutes for one in each]) for each in (outcomes, book))
    parts = np.array([float(one.wrong_parts) for one in outcomes])
    bent = np.array([car.bent for car in cars])
    right = float(np.mean([outcome.right for outcome in outcomes]))
    rng = np.random.default_rng(seed)
    again = rng.integers(0, len(minutes), size=(RESAMPLES, len(minutes)))
    means, book_means = minutes[again].mean(axis=1), by_book[again].mean(axis=1)
    return Way(
        name=name,
        minutes=float(minutes.mean()),
        minutes_between=middle(means),
        median=float(np.median(minutes)),
        plain=float(minutes[~bent].mean()),
        bent=float(minutes[bent].mean()),
        of_book=float(minutes.mean() / by_book.mean()),
        of_book_between=middle(means / book_means),
        right=right,
        right_between=wilson(round(right * len(outcomes)), len(outcomes)),
        wrong_parts=float(parts.mean()),
        wrong_parts_between=middle(parts[again].mean(axis=1)),
        tests=float(np.mean([outcome.tests for outcome in outcomes])),
        brier=brier(outcomes, cars),
        reliability=reliability(outcomes, cars, EDGES),
    )


def middle(values: NDArray[np.float64]) -> tuple[float, float]:
    """Between which 95 % of them lie."""
    low, high = np.quantile(values, (0.025, 0.975))
    return float(low), float(high)


def _answer_ms(model: Model, cars: tuple[Car, ...]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Median and 95th percentile of a whole plan at every point on the way through some cars: clock, processor."""
    reasoner = make_reasoner(model)
    ready = Readiness(among=asked_tests(model, procedures_at_hand(shipped_procedures())))
    took, worked = [], []
    for car in cars:
        names = list(car.answers)[:20]
        for count in range(0, len(names), 4):
            evidence = {name: car.answers[name] for name in names[:count]}
            began, began_work = time.perf_counter(), time.process_time()
            make_plan(model, reasoner.network, believe(reasoner.network, evidence), ready=ready)
            took.append((time.perf_counter() - began) * 1000)
            worked.append((time.process_time() - began_work) * 1000)
    clock, processor = ((float(np.median(each)), float(np.quantile(each, 0.95))) for each in (took, worked))
    return clock, processor


def table(measured: Measured) -> str:
    """The table as text."""
    lines = [
        f"{measured.cars} made-up cars (seed {measured.seed}), half from bent models, 10 % with two faults, 5 % of "
        "answers wrong; intervals are 95 %",
        f"{'way':30}{'minutes beyond the repair':<27}wrong parts a car",
    ]
    for way in measured.ways:
        lines += [
            f"{way.name:30}{way.minutes:5.1f} {_span(way.minutes_between, '.1f'):<21}{way.wrong_parts:5.2f} "
            f"{_span(way.wrong_parts_between, '.2f')}",
            f"    of the book's minutes {way.of_book:.2f} {_span(way.of_book_between, '.2f')}; "
            f"median {way.median:.0f}; as drawn {way.plain:.0f}, bent {way.bent:.0f}",
            f"    first repair right {way.right:.1%} {_span(way.right_between, '.1%')}; {way.tests:.1f} tests; "
            f"Brier {way.brier:.3f}",
        ]
    ours = measured.ways[0]
    lines.append(f"{ours.name}: odds said of the first repair, share right, cars")
    lines += [f"    {odds:.2f} {right:.2f} {count}" for odds, right, count in ours.reliability]
    told = measured.told
    lines.append(
        fitted(
            f"{told.findings} findings of {told.cars} cars in words: {len(told.faulty)} claim what was not seen, "
            f"are called proved too soon or are too long; at most {told.most} sentences, the longest of {told.longest} "
            "words"
        )
    )
    lines += told.faulty[:5]
    for name, (median, most) in (("clock", measured.answer_ms), ("processor", measured.answer_cpu_ms)):
        lines.append(f"plan, {name}: median {median:.1f} ms, 95th percentile {most:.1f} ms")
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
@click.option("--reliability", type=click.Path(path_type=Path), help="Draw the planner's odds against what was right.")
@click.option("--from", "figures", type=click.File(), metavar="FILE", help="Only draw, of what --json printed.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value in place of the table.")
def command(
    *,
    cars: int,
    seed: int,
    processes: int,
    plot: Path | None,
    reliability: Path | None,
    figures: TextIO | None,
    as_json: bool,
) -> None:
    """Measure the choice of tests and repairs on made-up cars against other ways."""
    if figures is not None:
        if plot is None and reliability is None:
            raise UsageError("--from draws; say where with --plot FILE or --reliability FILE.")
        _draw(json.load(figures), plot, reliability)
        return
    click.echo(f"{cars} made-up cars, five ways each; 2,000 take about half an hour. Ctrl-C ends it.", err=True)
    measured = measure_reason(cars, seed, processes)
    click.echo(json.dumps(asdict(measured)) if as_json else table(measured))
    _draw(asdict(measured), plot, reliability)


def _draw(measured: Mapping[str, Any], plot: Path | None, reliability: Path | None) -> None:
    """Draw what was measured, as `--json` tells it."""
    keys = ("name", "minutes", "minutes_between", "right", "right_between")
    rows = [tuple(way[key] for key in keys) for way in measured["ways"]]
    ours = measured["ways"][0]
    if plot is not None:
        _write(plot, draw_ways(rows, measured["cars"]))
    if reliability is not None:
        _write(reliability, draw_reliability(ours["reliability"], ours["brier"], measured["cars"]))


def _write(file: Path, picture: str) -> None:
    file.write_text(picture, encoding="utf-8")
    click.echo(f"Picture: {file}", err=True)

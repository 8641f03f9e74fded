"""`hoodside bench led`: minutes until a made-up car runs as a session leads it, against the same session by the book.

`bench reason` weighs tests one by one; here the shipped session itself leads, block by block, with all that its
procedures ask on the way. A made-up technician does each step in its written minutes, each time that it is come to. The
session ends in a finding; what it names is repaired, and where that was wrong the odds lead on, as in `bench reason`:
led by the planner, by the book by repairs alone. Every car is met by both with the same answers.
"""

from __future__ import annotations

import json
import multiprocessing
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from statistics import mean, median

import click
import numpy as np

from assistant.adapters.voice_silent import SilentVoice
from assistant.bench import car_player
from assistant.bench.car_answers import spoken_answers
from assistant.bench.car_player import ROOT, play, read_cars, shipped_reasoner, usual_answers
from assistant.bench.reason import leave_signals, middle
from assistant.bench.reason_cars import Car, Job, draw_cars, until_it_runs
from assistant.bench.reason_ways import asked_tests, planned, repair_next
from assistant.facts import Fact, FactKind, FindingReached
from assistant.guide import Library
from assistant.language.manner import Manner
from assistant.reasoning.costs import Situation
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.reasoner import Reasoner
from assistant.session.thoughts import Thoughts
from assistant.wiring import load_library, load_model

SEED = 11
ALL = 1_000_000
RESAMPLES = 2000
WAYS = {"led": True, "by the book": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """One car, one way. `found_min`: minutes until the finding; `minutes`: until it runs, beyond the repairs that it
    needed; None where the car came from a file and its faults are not of the model."""

    name: str
    fault: str
    found_min: float
    minutes: float | None = None
    right: bool | None = None
    wrong_parts: int | None = None


@click.command(epilog="Example: hoodside bench led tests/dialogues/faults --cars 100")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--cars", default=100, show_default=True, type=click.IntRange(min=2), help="Cars drawn from the model.")
@click.option("--seed", default=SEED, show_default=True, help="Another seed draws other cars.")
@click.option("--files", is_flag=True, help="The cars of the folder in place of drawn ones.")
@click.option("--processes", default=2, show_default=True, type=click.IntRange(1, 64), help="Worked on at once.")
@click.option("--each", is_flag=True, help="A line a car.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value in place of words.")
def command(*, folder: Path, cars: int, seed: int, files: bool, processes: int, each: bool, as_json: bool) -> None:
    """Measure how long a session leads until the car runs, against the fixed order.

    FOLDER holds one YAML file a car, and usual.yaml for all that is in order: what a drawn car says where the fault
    model knows nothing of the step."""
    drawn = () if files else draw_cars(load_model(ROOT), cars, seed)
    many = len(read_cars(folder, ALL)) if files else cars
    chunks = [range(start, many, processes) for start in range(processes)]
    with multiprocessing.Pool(processes, initializer=leave_signals) as pool:
        parts = pool.map(partial(_run, folder, drawn), chunks)
    played = {name: [one for part in parts for one in part[name]] for name in WAYS}
    for name in sorted(one.name for one in played["led"]) if each else ():
        pair = {way: next(one for one in found if one.name == name) for way, found in played.items()}
        click.echo("; ".join([name, *(f"{way} {one.found_min:.0f} min, {one.fault}" for way, one in pair.items())]))
    told = {name: _figures(found, played["by the book"]) for name, found in played.items()}
    if as_json:
        click.echo(json.dumps({"seed": seed, "files": files, **told}))
    else:
        click.echo("\n".join(_in_words(name, figures) for name, figures in told.items()))


def _run(folder: Path, drawn: Sequence[Car], numbers: Iterable[int]) -> dict[str, list[Played]]:
    _, library = load_library(ROOT)
    reasoner = shipped_reasoner()
    if drawn:
        usual = usual_answers(folder)
        return {
            way: [_play_drawn(library, reasoner, usual, drawn[number], number, leads=leads) for number in numbers]
            for way, leads in WAYS.items()
        }
    cars = read_cars(folder, ALL)
    return {way: [_play_file(library, cars[number], leads=leads) for number in numbers] for way, leads in WAYS.items()}


def _play_file(library: Library, car: car_player.Car, *, leads: bool) -> Played:
    facts = play(library, car, SilentVoice(), manner=Manner.BRIEF, leads=leads)
    return Played(name=car.name, fault=_found(facts), found_min=minutes_of(library, facts))


def _play_drawn(
    library: Library, reasoner: Reasoner, usual: car_player.Answers, car: Car, number: int, *, leads: bool
) -> Played:
    answers = {**usual, **spoken_answers(library, reasoner.model, car)}
    name = f"car {number}"
    facts = play(library, car_player.Car(name=name, answers=answers), SilentVoice(), manner=Manner.BRIEF, leads=leads)
    found, minutes = _found(facts), minutes_of(library, facts)
    thoughts = Thoughts(reasoner, library, facts)
    job = Job(reasoner, car)
    job.belief, job.situation = thoughts.belief, Situation(minutes=minutes)
    meant = reasoner.model.meant_by(found)
    if meant is not None and meant != NONE_OF_THESE:
        job.repair(meant)
    elif leads:
        job.repair(NONE_OF_THESE)
    outcome = until_it_runs(job, planned(asked_tests(reasoner.model, library)) if leads else repair_next)
    return Played(
        name=name,
        fault=found,
        found_min=minutes,
        minutes=outcome.minutes,
        right=outcome.right,
        wrong_parts=outcome.wrong_parts,
    )


def _found(facts: Sequence[Fact]) -> str:
    """The fault that the session ended in; empty where it named none."""
    told = [said.fault or "" for fact in facts if isinstance(said := fact.said, FindingReached)]
    return told[-1] if told else ""


def minutes_of(library: Library, facts: Iterable[Fact]) -> float:
    """Written minutes of all steps entered. One that is entered again at once, after a caution or a remedy, counts
    once."""
    entered = [(str(one.procedure), str(one.step)) for one in facts if one.kind is FactKind.STEP_ENTERED]
    counted = [here for here, before in zip(entered, [None, *entered], strict=False) if here != before]
    return sum(library[procedure].step(step).minutes for procedure, step in counted)


def _figures(found: Sequence[Played], book: Sequence[Played]) -> Mapping[str, object]:
    until = [one.found_min for one in found]
    told: dict[str, object] = {
        "cars": len(found),
        "median_until_found": round(median(until), 1),
        "mean_until_found": round(mean(until), 1),
        "open": sum(one.fault in ("", "open") for one in found),
    }
    if any(one.minutes is None for one in found):
        return told
    minutes, by_book = (np.array([one.minutes for one in each], dtype=float) for each in (found, book))
    again = np.random.default_rng(SEED).integers(0, len(found), size=(RESAMPLES, len(found)))
    low, high = middle(minutes[again].mean(axis=1) / by_book[again].mean(axis=1))
    return told | {
        "mean_until_it_runs": round(float(minutes.mean()), 1),
        "of_book": round(float(minutes.mean() / by_book.mean()), 3),
        "of_book_between": [round(low, 3), round(high, 3)],
        "first_repair_right": round(mean(bool(one.right) for one in found), 3),
        "wrong_parts": round(mean(one.wrong_parts or 0 for one in found), 3),
    }


def _in_words(name: str, told: Mapping[str, object]) -> str:
    line = (
        f"{name}: {told['cars']} cars, minutes until the finding median {told['median_until_found']}, "
        f"mean {told['mean_until_found']}; {told['open']} without a fault named"
    )
    if "of_book" not in told:
        return line
    low, high = told["of_book_between"] if isinstance(told["of_book_between"], list) else (0, 0)
    return (
        f"{line}\n    until it runs, mean {told['mean_until_it_runs']} minutes beyond the repair, of the book's "
        f"{told['of_book']} ({low} to {high}); first repair right {told['first_repair_right']:.1%}; "
        f"wrong parts a car {told['wrong_parts']}"
    )

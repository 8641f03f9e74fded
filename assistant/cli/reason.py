"""`hoodside reason`: the odds of every fault and the tests that pay, from a fault model and what was seen."""

from __future__ import annotations

import json
from contextlib import closing
from dataclasses import asdict
from pathlib import Path

import click

from assistant.errors import UsageError
from assistant.procedure.model import Duty
from assistant.reasoning.costs import after_tests
from assistant.reasoning.evidence import result_of_reading
from assistant.reasoning.learning import show_learned
from assistant.reasoning.model import Model
from assistant.reasoning.plan_words import say_plan
from assistant.reasoning.planner import make_plan
from assistant.reasoning.reasoner import Outlook, form_opinion, make_reasoner
from assistant.wiring import load_model, look_into_journal
from assistant.wiring.shop_odds import Repairs, repairs_known


@click.command(
    epilog="Example: hoodside reason no-start --seen spark-check=none --seen battery-at-rest=12.6",
)
@click.argument("model", metavar="MODEL.yaml")
@click.option("--seen", multiple=True, metavar="NAME=VALUE", help="A test and its result, or its reading in the unit.")
@click.argument("more", nargs=-1, metavar="")
@click.option(
    "--data",
    type=click.Path(path_type=Path, file_okay=False),
    help="Learn from the confirmed repairs in this data folder, and from what a shop's other bays repaired; "
    '"learned" shows what they moved, "learned_from" how many of whose, and their strength.',
)
def command(model: str, seen: tuple[str, ...], more: tuple[str, ...], data: Path | None) -> int:
    """Print the posterior of each fault and the tests ranked, as one JSON value.

    MODEL.yaml is a fault model file, or the id of a shipped one. "faults" holds the probability that each fault is
    there, alone or with another; with two at once they may add up to a little more than 1. "next" holds every test
    that may be done now: gain_bits, cost_min, and score in bits per minute, two tests ahead; the best stands first.
    Costs are reckoned as if the tests seen had just been done in the order given, their set-ups still in place.
    """
    loaded = load_model(model)
    evidence = dict(_finding(loaded, text) for text in (*seen, *more))
    known = _repairs(loaded, data)
    repairs = known.both
    reasoner = make_reasoner(loaded, repairs)
    opinion = form_opinion(reasoner, evidence, after_tests(loaded, evidence, Duty()))
    if not opinion.belief.possible:
        click.echo("hoodside: What was seen cannot be under this model; look at the results again.", err=True)
        return 1
    learned = [asdict(row) for row in show_learned(loaded, repairs)] if repairs else []
    told = {"learned": learned, "learned_from": _learned_from(loaded, known)} if data is not None else {}
    click.echo(json.dumps(plain_opinion(opinion) | told))
    plan = make_plan(loaded, reasoner.network, opinion.belief, situation=after_tests(loaded, evidence, Duty()))
    click.echo(say_plan(reasoner, opinion.belief, plan), err=True)
    return 0


def _repairs(model: Model, data: Path | None) -> Repairs:
    if data is None:
        return Repairs()
    with closing(look_into_journal(data)) as journal:
        return repairs_known(journal, model, data)


def _learned_from(model: Model, known: Repairs) -> dict[str, object]:
    return {
        "own": len(known.own),
        "elsewhere": len(known.elsewhere),
        "fetched_utc": known.fetched_utc,
        "strength": round(known.strength(model), 3),
    }


def plain_opinion(opinion: Outlook) -> dict[str, object]:
    """The opinion as JSON values."""
    return {
        "faults": {fault: round(odds, 9) for fault, odds in opinion.odds.items()},
        "next": [
            {
                "test": choice.test,
                "gain_bits": round(choice.gain_bits, 6),
                "cost_min": round(choice.cost_min, 3),
                "score": round(choice.score, 6),
            }
            for choice in opinion.choices
        ],
    }


def _finding(model: Model, text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals:
        raise UsageError(f"'{text}' is not NAME=VALUE; write for example --seen spark-check=none.")
    tests = {test.id: test for test in model.tests}
    if name not in tests:
        raise UsageError(f"The model has no test '{name}'; it has {', '.join(tests)}.")
    results = [known.id for known in tests[name].values]
    if value in results:
        return name, value
    try:
        reading = result_of_reading(tests[name], float(value))
    except ValueError:
        reading = None
    if reading is None:
        unit = f", or a number in {tests[name].unit}" if tests[name].bands else ""
        raise UsageError(f"'{value}' is not a result of '{name}'; it has {', '.join(results)}{unit}.")
    return name, reading

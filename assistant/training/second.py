"""How far to trust a result that both the grammar and free writing speak for: fits the weights of the second opinion.

Answers of the training writers, spoken by the tuning voices in shop noise, each heard at a step that knows only three
quarters of what people have answered there, and not this answer.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from zlib import crc32

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.noises import NOISES
from assistant.bench.spread import shards, spread
from assistant.bench.stream import Stream, in_noise
from assistant.bench.understand import Answer
from assistant.bench.voices import TUNING, available, speak
from assistant.language.grammars import grammar_of
from assistant.language.model import Expected, Heard
from assistant.language.second_opinion import traits_of
from assistant.language.understand import plain_words, understand
from assistant.ports import Listening
from assistant.procedure.model import Procedure
from assistant.session.understood import StepWords
from assistant.training.colleagues import colleagues
from assistant.wiring import load_libraries, shipped_procedures

LEVELS_DB = (15.0, 9.0)
PARTS = 4
PULL = 0.2
"""Penalty on the squares of the weights, but the constant."""

Floats = NDArray[np.float64]
Pcm = NDArray[np.int16]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seconded:
    """A result that was heard, by the traits that `trust_in` weighs."""

    said: str
    traits: tuple[float, ...]
    right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """`count` answers, each at every noise level. `threads`: cores for one call of the network."""

    count: int
    seed: int
    threads: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What one process works with. `chosen`: the answers drawn by chance; `talk`: what
    is said in the background."""

    library: Mapping[str, Procedure]
    recogniser: EmbeddedRecogniser
    chosen: Sequence[Answer]
    talk: Sequence[Pcm]
    seed: int


def make_tools(wish: Wish) -> Tools:
    """The answers drawn, and a recogniser of its own."""
    _, library = load_libraries(tuple(shipped_procedures()))
    answers = training_answers(library)
    drawn = np.random.default_rng(wish.seed).choice(len(answers), min(wish.count, len(answers)), replace=False)
    recogniser = make_embedded(threads=wish.threads)
    chosen = [answers[place] for place in drawn]
    talk = colleagues(available(TUNING), None, np.random.default_rng(wish.seed))
    return Tools(library=library, recogniser=recogniser, chosen=chosen, talk=talk, seed=wish.seed)


@click.command(epilog="Example: hoodside bench second --count 150 --jobs 2 --json")
@click.option("--count", default=150, show_default=True, help="Answers, each spoken at two noise levels.")
@click.option("--seed", default=8, show_default=True, help="Other answers, other noises.")
@click.option("--jobs", default=1, show_default=True, help="Processes to spread the work over: one a core.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(count: int, seed: int, jobs: int, as_json: bool) -> None:
    """Fit the weights by which free writing seconds a result heard in the grammar; nothing is kept."""
    wish = Wish(count=count, seed=seed, threads=1 if jobs > 1 else 2)
    tasks = [(level, numbers) for level in LEVELS_DB for numbers in shards(count)]
    heard = [one for part in spread(seconded, tasks, make=make_tools, key=wish, jobs=jobs) for one in part]
    weights = fitted_weights(heard)
    rows = [{"taken_from": limit} | shares(heard, limit) for limit in (0.8, 0.88, 0.9, 0.93, 0.95)]
    found = {"results": len(heard), "weights": [round(each, 3) for each in weights], "cross_validated": rows}
    if as_json:
        click.echo(json.dumps(found))
        return
    click.echo(f"{found['results']} results heard; weights {found['weights']}")
    for row in rows:
        click.echo("  ".join(f"{name} {value}" for name, value in row.items()))


def training_answers(library: Mapping[str, Procedure]) -> list[Answer]:
    """What people have answered at each step."""
    return [
        Answer(procedure=procedure.id, step=step.id, said=said, result=result.id)
        for procedure in library.values()
        for step in procedure.steps
        for result in step.results
        for said in result.examples
    ]


def seconded(tools: Tools, task: tuple[float, range]) -> list[Seconded]:
    """Of the answers of these numbers, said at that level, those that were heard as a result and written freely."""
    level, numbers = task
    random = np.random.default_rng([tools.seed, numbers.start, round(level)])
    speakers = available(TUNING)
    stream, found = Stream(tools.recogniser), list[Seconded]()
    for number in range(numbers.start, min(numbers.stop, len(tools.chosen))):
        answer = tools.chosen[number]
        now = without(StepWords(tools.library, answer.procedure, answer.step).expected, answer.said)
        pcm = speak(speakers[number % len(speakers)], answer.said)
        noise = list(NOISES)[number // len(speakers) % len(NOISES)]
        listening = Listening(grammar=grammar_of(now), read_back=True, second_chance=True)
        one = _of(stream.heard(in_noise(pcm, level, noise, random, tools.talk), listening), answer, now)
        found += [one] if one is not None else []
    return found


def without(expected: Expected, said: str) -> Expected:
    """The same without the quarter of the examples in which these words are."""
    part = _part(said)
    kept = {result: tuple(each for each in told if _part(each) != part) for result, told in expected.examples.items()}
    return replace(expected, examples=kept)


def _part(said: str) -> int:
    return crc32(said.encode()) % PARTS


def _of(heard: Heard, answer: Answer, now: Expected) -> Seconded | None:
    if heard.words is None or heard.free_text is None:
        return None
    meant = getattr(understand(Heard(words=heard.words, confidence=1.0), now), "result", None)
    if meant is None:
        return None
    traits = traits_of(heard, meant, plain_words(heard.free_text), now)
    return Seconded(said=answer.said, traits=traits, right=meant == answer.result)


def fitted_weights(heard: Sequence[Seconded]) -> Floats:
    """Of each trait: a logistic fit by Newton's steps."""
    rows = np.array([each.traits for each in heard])
    right = np.array([each.right for each in heard], float)
    weights = np.zeros(rows.shape[1])
    penalty = np.diag([1e-6] + [PULL] * (rows.shape[1] - 1))
    for _ in range(30):
        chance = 1.0 / (1.0 + np.exp(-rows @ weights))
        slope = rows.T @ (right - chance) - penalty @ weights
        bend = (rows * (chance * (1.0 - chance))[:, None]).T @ rows + penalty
        weights = weights + np.linalg.solve(bend, slope)
    return weights


def shares(heard: Sequence[Seconded], limit: float) -> dict[str, float]:
    """What is taken from that probability on, and what of it is wrong: each part by weights fitted on the others."""
    taken = wrong = 0
    for part in range(PARTS):
        weights = fitted_weights([each for each in heard if _part(each.said) != part])
        for each in heard:
            odds = float(np.dot(weights, each.traits))
            if _part(each.said) == part and 1.0 / (1.0 + np.exp(-odds)) >= limit:
                taken, wrong = taken + each.right, wrong + (not each.right)
    return {"right": round(taken / len(heard), 3), "wrong": round(wrong / len(heard), 3)}

"""Which result was said, and how sure that is: fits the weights of the second opinion.

Answers of the training writers that free writing has not learnt from, spoken by the tuning voices in shop noise, each
heard at a step that knows only three quarters of what people have answered there, and not this answer; half as
many times talk that gives no result; and, where they are installed, every second line of actors.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from zlib import crc32

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.noises import NOISES
from assistant.bench.recorded_speech import QUIET_DB
from assistant.bench.sets import at_read_back
from assistant.bench.spread import shards, spread
from assistant.bench.strangers import printed, sentences
from assistant.bench.stream import Stream, in_noise
from assistant.bench.talk import LEARNT_EVERY, acted, acted_lines
from assistant.bench.understand import Answer
from assistant.bench.voices import TUNING, available, speak
from assistant.language.meant import resulting
from assistant.language.model import Expected, Heard
from assistant.language.second_opinion import plainly_written, traits_of
from assistant.procedure.model import Procedure, Result, Step
from assistant.session.understood import StepWords
from assistant.training.colleagues import colleagues
from assistant.training.writing_sounds import is_left_out
from assistant.wiring import load_libraries, shipped_procedures

LEVELS_DB = (15.0, 9.0)
PARTS = 4
PULL = 3.0
"""Penalty on the squares of the weights, but the constant, of traits that spread by 1."""

TALK_EVERY = 3
"""Of so many things said one is talk."""

MODULES = ("ast", "bz2", "cmd", "dis", "gzip", "heapq", "hmac", "imaplib", "pdb", "pprint")
"""Whose prose is talk that is like no answer: of other modules than that of colleagues and strangers."""

WORDS = (3, 14)
"""Of such a sentence, at least and at most."""

ACTED = 2
"""So many lines of actors for three answers or made-up talk."""

ROUNDS = 60
LIMITS = (0.5, 0.6, 0.65, 0.7, 0.8, 0.85, 0.88, 0.9, 0.93)

TALK = ""
"""In place of a result."""

Floats = NDArray[np.float64]
Pcm = NDArray[np.int16]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seconded:
    """What was heard of one answer, or of talk. `traits`: of each result; `right`: which it was, None for talk."""

    said: str
    traits: Floats
    right: int | None

    def odds(self, weights: Floats) -> Floats:
        """Of each result, that of none last."""
        scores = np.append(self.traits @ weights, 0.0)
        likely = np.exp(scores - scores.max())
        odds: Floats = likely / likely.sum()
        return odds


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """`count` answers, each at every noise level. `threads`: cores for one call of the network."""

    count: int
    seed: int
    threads: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What one process works with. `chosen`: the answers drawn by chance; `acted`: lines of actors, each at one of
    `steps` in turn; `talk`: what is said in the background."""

    library: Mapping[str, Procedure]
    recogniser: EmbeddedRecogniser
    chosen: Sequence[Answer]
    acted: Sequence[Pcm]
    steps: Sequence[tuple[Procedure, Step]]
    talk: Sequence[Pcm]
    seed: int


def make_tools(wish: Wish) -> Tools:
    """The answers drawn, and a recogniser of its own."""
    _, library = load_libraries(tuple(shipped_procedures()))
    random = np.random.default_rng(wish.seed)
    chosen = [*drawn(library, wish.count, random)]
    recogniser = make_embedded(threads=wish.threads)
    talk = colleagues(available(TUNING), None, np.random.default_rng(wish.seed))
    return Tools(
        library=library, recogniser=recogniser, chosen=chosen, acted=lines_of_actors(wish.count * ACTED // 3),
        steps=_steps(library), talk=talk, seed=wish.seed,
    )  # fmt: skip


def lines_of_actors(most: int) -> list[Pcm]:
    """So many of the lines that may be learnt from, at most, from all of the game."""
    apart = max(1, acted_lines() // LEARNT_EVERY // max(1, most))
    return acted(slice(0, None, LEARNT_EVERY * apart))[:most]


@click.command(epilog="Example: hoodside bench second --count 150 --jobs 2 --json")
@click.option("--count", default=150, show_default=True, help="Answers and talk, each spoken at two noise levels.")
@click.option("--seed", default=8, show_default=True, help="Other answers, other noises.")
@click.option("--jobs", default=1, show_default=True, help="Processes to spread the work over: one a core.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(count: int, seed: int, jobs: int, as_json: bool) -> None:
    """Fit the weights by which all that was heard speaks for a result; nothing is kept."""
    wish = Wish(count=count, seed=seed, threads=1 if jobs > 1 else 2)
    tasks = [(level, numbers) for level in LEVELS_DB for numbers in shards(count)]
    answers = spread(seconded, tasks, make=make_tools, key=wish, jobs=jobs)
    lines = spread(talked, shards(count * ACTED // 3), make=make_tools, key=wish, jobs=jobs)
    heard = [one for part in chain(answers, lines) for one in part]
    weights = fitted_weights(heard)
    rows = [{"from": limit} | each for limit, each in shares(heard, LIMITS).items()]
    found = {"heard": len(heard), "weights": [round(each, 3) for each in weights.tolist()], "cross_validated": rows}
    if as_json:
        click.echo(json.dumps(found))
        return
    click.echo(f"{found['heard']} heard; weights {found['weights']}")
    for row in rows:
        click.echo("  ".join(f"{name} {value}" for name, value in row.items()))


def drawn(library: Mapping[str, Procedure], count: int, random: np.random.Generator) -> Iterator[Answer]:
    """Answers by chance, of one step after the other, and talk at some of these; its result is empty."""
    steps = _steps(library)
    elsewhere = sorted({words for _, step in steps for words in step.elsewhere if is_left_out(words)})
    prose = [each for each in sentences(printed(MODULES)) if WORDS[0] <= len(each.split()) <= WORDS[1]]
    for number in range(count):
        if number % len(steps) == 0:
            order = random.permutation(len(steps))
        procedure, step = steps[order[number % len(steps)]]
        if number % TALK_EVERY == TALK_EVERY - 1:
            near = [words for words in step.elsewhere if is_left_out(words)]
            pool = (near or elsewhere, elsewhere, prose)[number // TALK_EVERY % 3]
            yield Answer(procedure=procedure.id, step=step.id, said=pool[int(random.integers(len(pool)))], result=TALK)
            continue
        told = [(result.id, unheard) for result in step.results if (unheard := _unheard(result))]
        result, examples = told[int(random.integers(len(told)))]
        said = examples[int(random.integers(len(examples)))]
        yield Answer(procedure=procedure.id, step=step.id, said=said, result=result)


def _steps(library: Mapping[str, Procedure]) -> list[tuple[Procedure, Step]]:
    return [(procedure, step) for procedure in library.values() for step in procedure.steps if _answered(step)]


def _answered(step: Step) -> bool:
    return sum(bool(_unheard(result)) for result in step.results) > 1


def _unheard(result: Result) -> list[str]:
    """What people have answered that free writing has not learnt from."""
    return [said for said in result.examples if is_left_out(said)]


def seconded(tools: Tools, task: tuple[float, range]) -> list[Seconded]:
    """Of the answers and the talk of these numbers, said at that level, those that were written freely too."""
    level, numbers = task
    random = np.random.default_rng([tools.seed, numbers.start, round(level)])
    speakers = available(TUNING)
    stream, found = Stream(tools.recogniser), list[Seconded]()
    for number in range(numbers.start, min(numbers.stop, len(tools.chosen))):
        answer = tools.chosen[number]
        now = without(StepWords(tools.library, answer.procedure, answer.step).expected, answer.said)
        pcm = speak(speakers[number % len(speakers)], answer.said)
        noise = list(NOISES)[number // len(speakers) % len(NOISES)]
        listening = at_read_back(now)
        one = _of(stream.heard(in_noise(pcm, level, noise, random, tools.talk), listening), answer, now)
        found += [one] if one is not None else []
    return found


def talked(tools: Tools, numbers: range) -> list[Seconded]:
    """The same of the actors' lines of these numbers, none of which is meant for us, but for those that are answers:
    every other one in noise, the others in quiet."""
    random = np.random.default_rng([tools.seed, numbers.start, 1])
    stream, found = Stream(tools.recogniser), list[Seconded]()
    for number in range(numbers.start, min(numbers.stop, len(tools.acted))):
        procedure, step = tools.steps[number % len(tools.steps)]
        level = QUIET_DB if number % 2 else LEVELS_DB[0]
        now = StepWords(tools.library, procedure.id, step.id).expected
        noise = list(NOISES)[number % len(NOISES)]
        listening = at_read_back(now)
        heard = stream.heard(in_noise(tools.acted[number], level, noise, random, tools.talk), listening)
        if resulting(now)(heard.free_text or "") is None:
            one = _of(heard, Answer(procedure=procedure.id, step=step.id, said=str(number), result=TALK), now)
            found += [one] if one is not None else []
    return found


def without(expected: Expected, said: str) -> Expected:
    """The same without the quarter of the examples, and of the talk known, in which these words are."""
    part = _part(said)
    kept = {result: tuple(each for each in told if _part(each) != part) for result, told in expected.examples.items()}
    talk = tuple(each for each in expected.elsewhere if _part(each) != part)
    return replace(expected, examples=kept, elsewhere=talk)


def _part(said: str) -> int:
    return crc32(said.encode()) % PARTS


def _of(heard: Heard, answer: Answer, now: Expected) -> Seconded | None:
    """None where nothing is weighed: nothing was heard, something sure, or something that is no result."""
    if heard.free_text is None:
        return None
    if heard.words is not None and resulting(now)(heard.words) is None:
        return None
    traits = np.array(traits_of(plainly_written(heard), now, resulting(now)))
    right = list(now.results).index(answer.result) if answer.result != TALK else None
    return Seconded(said=answer.said, traits=traits, right=right)


def fitted_weights(heard: Sequence[Seconded]) -> Floats:
    """Of each trait: a multinomial logistic fit, each result and none of them a possibility."""
    from scipy.optimize import minimize  # noqa: PLC0415 - a third of a second that the command line need not wait

    spread_of = np.concatenate([each.traits for each in heard]).std(axis=0)
    spread_of[0] = 1.0
    spread_of = np.maximum(spread_of, 1e-9)

    def loss(scaled: Floats) -> tuple[float, Floats]:
        value = PULL * float((scaled[1:] ** 2).sum()) / 2
        slope = PULL * np.append(0.0, scaled[1:])
        for each in heard:
            odds = each.odds(scaled / spread_of)
            place = each.right if each.right is not None else -1
            value -= float(np.log(odds[place] + 1e-12))
            odds[place] -= 1.0
            slope += odds[:-1] @ each.traits / spread_of
        return value, slope

    found = minimize(loss, np.zeros(len(spread_of)), jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS}).x
    weights: Floats = found / spread_of
    return weights


def shares(heard: Sequence[Seconded], limits: Sequence[float]) -> dict[float, dict[str, float]]:
    """Of answers what is right and wrong from each probability on, of talk what gives a result: each part by weights
    fitted on the others."""
    best: list[tuple[Seconded, int, float]] = []
    for part in range(PARTS):
        weights = fitted_weights([each for each in heard if _part(each.said) != part])
        for each in heard:
            if _part(each.said) == part:
                odds = each.odds(weights)[:-1]
                best.append((each, int(odds.argmax()), float(odds.max())))
    answers = sum(each.right is not None for each in heard)
    found: dict[float, dict[str, float]] = {}
    for limit in limits:
        over = [(each.right, place) for each, place, sure in best if sure >= limit]
        right = sum(place == wanted for wanted, place in over)
        talk = sum(wanted is None for wanted, _ in over)
        found[limit] = {
            "right": round(right / answers, 3),
            "wrong": round((len(over) - right - talk) / answers, 3),
            "talk": round(talk / max(1, len(heard) - answers), 3),
        }
    return found

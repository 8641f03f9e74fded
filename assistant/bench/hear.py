"""How well the recogniser hears: right, wrong, asked and refused, by noise level, noise and voice; strangers' talk."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

import click
import numpy as np

from assistant.bench import bits_of_talk
from assistant.bench.accuracy import KINDS, Answer, answers_to, by_meaning, confusions, grouped, rates
from assistant.bench.footprint import footprint
from assistant.bench.hear_picture import draw
from assistant.bench.people import human_speech
from assistant.bench.readings import readings
from assistant.bench.recorded_speech import of_digits, of_words
from assistant.bench.sets import dangers_told, every_phrase, said_in_turn, said_somewhere
from assistant.bench.setting import Bench, Setting, Wish, make_bench
from assistant.bench.short_words import through_the_gate
from assistant.bench.spread import shards
from assistant.bench.strangers import false_accepts
from assistant.bench.voices import available
from assistant.errors import UsageError
from assistant.grammar.automaton import automaton_of

STEP_SNRS_DB = (15.0, 9.0, 6.0, 3.0)
ALL_SNRS_DB = (15.0, 9.0, 6.0)
DANGER_SNRS_DB = (15.0, 9.0)


def in_steps(bench: Bench) -> dict[str, Any]:
    """Phrases among all that is legal at a moment of the job, commands and questions with it."""
    return _by_level(bench, STEP_SNRS_DB, everything=False)


def among_all(bench: Bench) -> dict[str, Any]:
    """The same phrases among every phrase of every procedure at once, readings and codes with them."""
    return _by_level(bench, ALL_SNRS_DB, everything=True)


def each_phrase(bench: Bench) -> dict[str, Any]:
    """Every phrase that moves a job on, once by each group's voices in turn, at 15 dB; which were not right."""
    answers: list[Answer] = []
    count = len(every_phrase(bench.setting.asks))
    for group, speakers in bench.setting.voices.items():
        tasks = [(group, numbers) for numbers in shards(count)] if speakers else []
        answers += _told(bench, f"every phrase, {group}", bench.each(_phrases, tasks))
    missed = sorted((each.said.words, each.said.speaker, each.kind) for each in answers if each.kind != "right")
    return rates(each.kind for each in answers) | {"not_right": missed}


def of_dangers(bench: Bench) -> list[dict[str, Any]]:
    """What we ask to be told of danger, out of turn at any moment of a job, by each group's voices at 15 and 9 dB."""
    setting = bench.setting
    found = []
    for group, speakers in setting.voices.items():
        for snr_db in DANGER_SNRS_DB if speakers else ():
            random = np.random.default_rng([setting.wish.seed, int(snr_db)])
            places = dangers_told(setting.asks, count=setting.wish.count, random=random)
            sayings = said_in_turn(
                places, speakers, snr_db=snr_db, numbers=range(len(places)), random=random, talk=setting.talk,
                speech=setting.speech,
            )  # fmt: skip
            answers = _told(bench, f"dangers, {group} {snr_db:g} dB", [list(answers_to(setting.recogniser, sayings))])
            found.append({"voices": group, "snr_db": snr_db} | rates(each.kind for each in answers))
    return found


def of_readings(bench: Bench) -> dict[str, Any]:
    """Readings at 15 dB, at most 500 of them."""
    found = readings(bench, count=min(500, bench.setting.wish.count))
    bench.tell(f"readings: {found['right']:.1%} exact")
    return found


def of_people(bench: Bench) -> list[dict[str, Any]]:
    """Recorded people, in grammars that the recogniser has never seen."""
    return human_speech(bench, count=min(200, bench.setting.wish.count))


def of_talk(bench: Bench) -> list[dict[str, Any]]:
    """Talk that holds command words and results and is not for us, heard as a live session hears."""
    setting = bench.setting
    speakers = available(bits_of_talk.VOICES)
    wish = setting.wish
    return list(bits_of_talk.measure_talk(setting.recogniser, setting.asks, speakers, count=wish.count, seed=wish.seed))


def cost(bench: Bench) -> dict[str, Any]:
    """Time, memory and work: of starting, of hearing among all phrases, and of listening to a room."""
    setting = bench.setting
    made = said_somewhere(
        setting.asks, setting.voices["tuning"], snr_db=15, numbers=range(60),
        random=np.random.default_rng(setting.wish.seed), talk=setting.talk, speech=setting.speech,
    )  # fmt: skip
    return footprint(setting.wish.procedure, [each.stretch for each in made])


PARTS: Mapping[str, Callable[[Bench], Any]] = MappingProxyType(
    {
        "cost": cost,
        "gate": through_the_gate,
        "steps": in_steps,
        "phrases": each_phrase,
        "dangers": of_dangers,
        "all": among_all,
        "readings": of_readings,
        "people": of_people,
        "strangers": false_accepts,
        "words": of_words,
        "digits": of_digits,
        "talk": of_talk,
    }
)
"""What can be measured."""

WITH_PEOPLE = frozenset({"words", "digits"})
"""Parts that need a folder of recorded people."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What is said in one piece of work: these numbers of a group's phrases at a level, in a step or among all."""

    group: str
    snr_db: float
    everything: bool
    numbers: range


def _by_level(bench: Bench, snrs_db: Sequence[float], *, everything: bool) -> dict[str, Any]:
    rows, answers = [], []
    for group, speakers in bench.setting.voices.items():
        for snr_db in snrs_db if speakers else ():
            tasks = [
                Row(group=group, snr_db=snr_db, everything=everything, numbers=numbers)
                for numbers in shards(bench.setting.wish.count)
            ]
            got = _told(bench, f"{group} {snr_db:g} dB", bench.each(_in_row, tasks))
            answers += got
            rows.append({"voices": group, "speakers": len(speakers), "snr_db": snr_db} | by_meaning(got))
    levels = {f"{snr:g} dB": by_meaning([each for each in answers if each.said.snr_db == snr]) for snr in snrs_db}
    return {
        "rows": rows,
        "by_level": levels,
        "by_noise": grouped(answers, lambda answer: answer.said.noise),
        "by_speaker": grouped(answers, lambda answer: answer.said.speaker),
        "confusions": confusions(answers),
    }


def _in_row(setting: Setting, row: Row) -> list[Answer]:
    grammar = setting.everything if row.everything else None
    whole = automaton_of(grammar) if grammar else None  # "what if" is legal at its moment alone
    sayings = said_somewhere(
        setting.asks, setting.voices[row.group], snr_db=row.snr_db, numbers=row.numbers,
        random=np.random.default_rng([setting.wish.seed, row.numbers.start]), talk=setting.talk, speech=setting.speech,
        legal=lambda words: whole is None or whole.accepts(words.split()),
    )  # fmt: skip
    return list(answers_to(setting.recogniser, sayings, grammar))


def _phrases(setting: Setting, task: tuple[str, range]) -> list[Answer]:
    group, numbers = task
    sayings = said_in_turn(
        every_phrase(setting.asks), setting.voices[group], snr_db=15, numbers=numbers,
        random=np.random.default_rng([setting.wish.seed, numbers.start]), talk=setting.talk, speech=setting.speech,
    )  # fmt: skip
    return list(answers_to(setting.recogniser, sayings))


def _told(bench: Bench, name: str, parts: Iterable[list[Answer]]) -> list[Answer]:
    answers = [answer for part in parts for answer in part]
    found = rates(each.kind for each in answers)
    bench.tell(f"{name}: " + "  ".join(f"{kind} {found[kind]:.1%}" for kind in KINDS) + f"  of {found['count']}")
    return answers


@click.command(epilog="Example: hoodside bench hear --part steps --part all --count 400 --json")
@click.option(
    "--part", "parts", metavar="PART", multiple=True, type=click.Choice(list(PARTS)),
    help=f"Measure only this, of {', '.join(PARTS)}. Repeat it.",
)  # fmt: skip
@click.option("--count", default=240, show_default=True, help="Phrases for each noise level and group of voices.")
@click.option("--hours", default=2.0, show_default=True, help="Hours of made-up talk that must be refused.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose steps and phrases.")
@click.option("--seed", default=1, show_default=True, help="Other noises and other draws.")
@click.option(
    "--people", type=click.Path(path_type=Path, file_okay=False), help="Recordings: DIR/commands/WORD/*.flac."
)
@click.option("--rows", default="", help="Of the parts words, digits, strangers only these, as 'read-back 15 dB no'.")
@click.option("--past", default=0, show_default=True, help="Of the part words leave out each word's first so many.")
@click.option("--jobs", default=1, show_default=True, help="Processes to spread the work over: one a core.")
@click.option("--plot", type=click.Path(path_type=Path), help="Also draw the part steps to this SVG.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(
    *,
    parts: tuple[str, ...],
    count: int,
    hours: float,
    procedure: str,
    seed: int,
    people: Path | None,
    rows: str,
    past: int,
    jobs: int,
    plot: Path | None,
    as_json: bool,
) -> None:
    """Accuracy by noise level, noise and voice; the gate; readings; false accepts; people's speech; speed and memory.

    All but the cost is heard in a stream of noise, as a live session hears.
    """
    if plot is not None and parts and "steps" not in parts:
        raise UsageError("--plot draws the part 'steps', which is not among those wished.")
    threads = 1 if jobs > 1 else 2
    wish = Wish(
        procedure=procedure, count=count, hours=hours, seed=seed, people=people, threads=threads, rows=rows, past=past
    )  # fmt: skip
    bench = make_bench(wish, jobs=jobs, tell=lambda words: click.echo(words, err=True))
    usual = set(PARTS) if people else set(PARTS) - WITH_PEOPLE
    measured = {name: measure(bench) for name, measure in PARTS.items() if name in (parts or usual)}
    if plot is not None and "steps" in measured:
        plot.write_text(draw(measured["steps"]["rows"]), encoding="utf-8")
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, value in measured.items():
        click.echo(f"\n{name}")
        click.echo("\n".join(table(value)))


def table(value: Any) -> list[str]:
    """Lines for a reader: a row each, lists of words and long tables left to --json."""
    if isinstance(value, list):
        return [_line(row) for row in value]
    if "rows" in value:
        return [_line(row) for row in value["rows"]] + [f"confused: {value['confusions'][:5]}"]
    return [_line(value)]


def _line(row: Mapping[str, Any]) -> str:
    return "  ".join(f"{name} {each}" for name, each in row.items() if not isinstance(each, list) or len(each) <= 3)

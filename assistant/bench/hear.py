"""How well the recogniser hears: right, wrong, asked and refused, by noise level, noise and voice; strangers' talk."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench import bits_of_talk
from assistant.bench.accuracy import KINDS, Answer, answer_to, by_meaning, confusions, grouped, rates
from assistant.bench.footprint import footprint
from assistant.bench.hear_picture import draw
from assistant.bench.people import human_speech
from assistant.bench.readings import readings
from assistant.bench.recorded_speech import of_digits, of_words
from assistant.bench.sets import Ask, Speech, Utterance, asks_of, every_phrase, said_somewhere
from assistant.bench.strangers import false_accepts
from assistant.bench.talk import announcements
from assistant.bench.voices import HELD_OUT, TUNING, Speaker, available
from assistant.grammar.automaton import automaton_of
from assistant.grammar.model import Grammar
from assistant.language.grammars import grammar_of_procedures
from assistant.procedure.model import Procedure
from assistant.reasoning.reasoner import make_reasoner
from assistant.record.wording import fitted
from assistant.session.adviser import Adviser
from assistant.wiring import load_library
from assistant.wiring.fault_models import model_for

Pcm = NDArray[np.int16]
STEP_SNRS_DB = (15.0, 9.0, 6.0, 3.0)
ALL_SNRS_DB = (15.0, 9.0, 6.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What every part measures on: a recogniser, the moments of a job, voices in two groups, and strangers' talk."""

    procedure: str
    recogniser: EmbeddedRecogniser
    library: Mapping[str, Procedure]
    asks: Sequence[Ask]
    voices: Mapping[str, Sequence[Speaker]]
    talk: Sequence[Pcm]
    count: int
    hours: float
    seed: int
    tell: Callable[[str], None]
    people: Path | None = None
    speech: Speech = field(default_factory=Speech)


def make_setting(
    procedure: str, *, count: int, hours: float, seed: int, tell: Callable[[str], None] = lambda words: None,
    people: Path | None = None,
) -> Setting:  # fmt: skip
    """Raises UsageError for an unknown procedure, SetupError where the network's wheel is missing."""
    _, library = load_library(procedure)
    model = model_for(procedure, None)
    adviser = Adviser(make_reasoner(model), library) if model else None
    voices = {"tuning": available(TUNING), "held-out": available(HELD_OUT)}
    return Setting(
        procedure=procedure, recogniser=make_embedded(), library=library, asks=asks_of(library, adviser), voices=voices,
        talk=announcements()[1::2], count=count, hours=hours, seed=seed, tell=tell, people=people,
    )  # fmt: skip


def in_steps(setting: Setting) -> dict[str, Any]:
    """Phrases among all that is legal at a moment of the job, commands and questions with it."""
    return _by_level(setting, STEP_SNRS_DB, None)


def among_all(setting: Setting) -> dict[str, Any]:
    """The same phrases among every phrase of every procedure at once, readings and codes with them."""
    return _by_level(setting, ALL_SNRS_DB, grammar_of_procedures(setting.library.values()))


def each_phrase(setting: Setting) -> dict[str, Any]:
    """Every phrase that moves a job on, once by each group's voices in turn, at 15 dB; which were not right."""
    answers: list[Answer] = []
    for group, speakers in setting.voices.items():
        random = np.random.default_rng(setting.seed)
        made = every_phrase(
            setting.asks, speakers, snr_db=15, random=random, talk=setting.talk, speech=setting.speech
        )  # fmt: skip
        answers += _heard(setting, f"every phrase, {group}", made, None)
    missed = sorted((each.said.words, each.said.speaker, each.kind) for each in answers if each.kind != "right")
    return rates(each.kind for each in answers) | {"not_right": missed}


def of_readings(setting: Setting) -> dict[str, Any]:
    """Readings at 15 dB, at most 500 of them."""
    voices = [speaker for speakers in setting.voices.values() for speaker in speakers]
    found = readings(
        setting.recogniser, setting.asks, voices,
        snr_db=15, count=min(500, setting.count), seed=setting.seed, talk=setting.talk,
    )  # fmt: skip
    setting.tell(f"readings: {found['right']:.1%} exact")
    return found


def of_strangers(setting: Setting) -> list[dict[str, Any]]:
    """What other people's talk, music and tools set off."""
    everything = grammar_of_procedures(setting.library.values())
    return false_accepts(
        setting.recogniser, setting.asks, everything, list(setting.library.values()), setting.voices["held-out"],
        hours=setting.hours, seed=setting.seed, tell=setting.tell,
    )  # fmt: skip


def of_people(setting: Setting) -> list[dict[str, Any]]:
    """Recorded people, in grammars that the recogniser has never seen."""
    return human_speech(setting.recogniser, setting.talk, count=min(200, setting.count), seed=setting.seed)


def single_words(setting: Setting) -> list[dict[str, Any]]:
    """Recorded people, one word at a time, at a read-back and in the step in which most may be said."""
    asks = [ask for ask in setting.asks if ask.answers]
    return of_words(
        setting.recogniser, _people(setting), asks, setting.talk, count=setting.count, seed=setting.seed,
        tell=setting.tell,
    )  # fmt: skip


def digit_strings(setting: Setting) -> list[dict[str, Any]]:
    """Recorded people, two to four digits at a time."""
    return of_digits(
        setting.recogniser, _people(setting), setting.talk, count=setting.count, seed=setting.seed, tell=setting.tell
    )


def _people(setting: Setting) -> Path:
    if setting.people is None:
        raise click.UsageError("--part words and --part digits need --people, a folder of recorded people.")
    return setting.people


def of_talk(setting: Setting) -> list[dict[str, Any]]:
    """Talk that holds command words and results and is not for us, heard as a live session hears."""
    speakers = available(bits_of_talk.VOICES)
    rows = bits_of_talk.measure_talk(setting.recogniser, setting.asks, speakers, count=setting.count, seed=setting.seed)
    return list(rows)


def cost(setting: Setting) -> dict[str, Any]:
    """Time, memory and work: of starting, of hearing among all phrases, and of listening to a quiet room."""
    random = np.random.default_rng(setting.seed)
    made = said_somewhere(
        setting.asks, setting.voices["tuning"], snr_db=15, count=60, random=random, talk=setting.talk,
        speech=setting.speech,
    )  # fmt: skip
    return footprint(setting.procedure, [each.pcm for each in made])


PARTS: Mapping[str, Callable[[Setting], Any]] = MappingProxyType(
    {
        "cost": cost,
        "steps": in_steps,
        "phrases": each_phrase,
        "all": among_all,
        "readings": of_readings,
        "people": of_people,
        "strangers": of_strangers,
        "words": single_words,
        "digits": digit_strings,
        "talk": of_talk,
    }
)
"""What can be measured."""

WITH_PEOPLE = frozenset({"words", "digits"})
"""Parts that need a folder of recorded people; without one they are left out unless they are named."""


def _by_level(setting: Setting, snrs_db: Sequence[float], grammar: Grammar | None) -> dict[str, Any]:
    rows, answers = [], []
    whole = automaton_of(grammar) if grammar else None  # "what if" is legal at its moment alone
    for group, speakers in setting.voices.items():
        for snr_db in snrs_db if speakers else ():
            random = np.random.default_rng(setting.seed)
            made = said_somewhere(
                setting.asks, speakers, snr_db=snr_db, count=setting.count, random=random, talk=setting.talk,
                speech=setting.speech, legal=lambda words: whole is None or whole.accepts(words.split()),
            )  # fmt: skip
            got = _heard(setting, f"{group} {snr_db:g} dB", made, grammar)
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


def _heard(setting: Setting, name: str, made: Iterable[Utterance], grammar: Grammar | None) -> list[Answer]:
    answers = [answer_to(setting.recogniser, each, grammar) for each in made]
    found = rates(each.kind for each in answers)
    setting.tell(f"{name}: " + "  ".join(f"{kind} {found[kind]:.1%}" for kind in KINDS) + f"  of {found['count']}")
    return answers


@click.command(epilog="Example: hoodside bench hear --part steps --part all --count 400 --json")
@click.option("--part", "parts", multiple=True, type=click.Choice(list(PARTS)), help="Measure only this. Repeat it.")
@click.option("--count", default=240, show_default=True, help="Phrases for each noise level and group of voices.")
@click.option("--hours", default=2.0, show_default=True, help="Hours of made-up talk that must be refused.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose steps and phrases.")
@click.option("--seed", default=1, show_default=True, help="Other noises and other draws.")
@click.option("--people", type=click.Path(path_type=Path, exists=True), help="Recorded people, for words and digits.")
@click.option("--plot", type=click.Path(path_type=Path), help="Also draw the shares by noise level to this SVG.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value on standard output.")
def command(
    *, parts: tuple[str, ...], count: int, hours: float, procedure: str, seed: int, people: Path | None,
    plot: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Accuracy by noise level, noise and voice; readings; false accepts; people's speech; speed and memory."""
    setting = make_setting(
        procedure, count=count, hours=hours, seed=seed, tell=lambda words: click.echo(words, err=True), people=people
    )
    usual = set(PARTS) if people else set(PARTS) - WITH_PEOPLE
    measured = {name: measure(setting) for name, measure in PARTS.items() if name in (parts or usual)}
    if plot is not None and "steps" in measured:
        plot.write_text(draw(measured["steps"]["rows"]), encoding="utf-8")
    if as_json:
        click.echo(json.dumps(measured))
        return
    for name, value in measured.items():
        click.echo(f"\n{name}")
        click.echo("\n".join(map(fitted, table(value))))


def table(value: Any) -> list[str]:
    """Lines for a reader: a row each, lists of words and long tables left to --json."""
    if isinstance(value, list):
        return [_line(row) for row in value]
    if "rows" in value:
        return [_line(row) for row in value["rows"]] + [f"confused: {value['confusions'][:5]}"]
    return [_line(value)]


def _line(row: Mapping[str, Any]) -> str:
    return "  ".join(f"{name} {each}" for name, each in row.items() if not isinstance(each, list) or len(each) <= 3)

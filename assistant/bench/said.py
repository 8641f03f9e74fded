"""How much is said until the fault is found: words and seconds of ours, over made-up cars, in each way to speak.

The cars are those of our own tests, every one that begins at `no-start`, spread evenly over their list. A made-up
technician types the answer of the car to whatever is asked. Seconds are those of the shipped voice at its usual rate,
each sentence rendered once; how long people take to answer and to work is not counted.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from statistics import mean, median

import click

from assistant.bench.car_player import ROOT, Car, play, read_cars
from assistant.facts import Fact, FactKind
from assistant.guide import Library
from assistant.guide.state import USUAL_RATE_WPM
from assistant.language.breaths import breaths
from assistant.language.manner import Manner
from assistant.language.speech import Pause, Sentence, Tone, Utterance
from assistant.wiring import load_library
from assistant.wiring.voices import make_synthesiser

RATE_HZ = 16_000
BETWEEN_S = 0.25
"""The breath between two sentences, as the voice leaves it."""


@dataclass(slots=True, kw_only=True)
class Talk:
    """What was said to one car: of ours words, sentences and seconds; `yes`: how often we had to be told yes.

    `first_words`, `first_s`: until the first reading or burst of the starter; None where the car ended before.
    """

    words: int = 0
    sentences: int = 0
    seconds: float = 0.0
    yes: int = 0
    first_words: int | None = None
    first_s: float | None = None
    lines: list[str] = field(default_factory=list)


class _CountingVoice:
    """Counts what it is given, and makes no sound."""

    def __init__(self, talk: Talk, seconds_of: Callable[[str], float]) -> None:
        self._talk = talk
        self._seconds_of = seconds_of
        self.speaking = False

    def say(self, utterances: Sequence[Utterance]) -> None:
        for each in utterances:
            if isinstance(each, Sentence):
                self._talk.words += len(each.text.split())
                self._talk.sentences += 1
                self._talk.seconds += self._seconds_of(each.text)
                self._talk.lines.append(each.text)
            elif isinstance(each, Tone | Pause):
                continue  # a burst takes its time in every way to speak

    def prepare(self, text: str) -> bool:
        return True

    def stop(self) -> None: ...

    def set_volume(self, level: float) -> None: ...

    def set_lift(self, decibels: float) -> None: ...

    def duck(self, softer: bool) -> None: ...

    def set_rate(self, words_per_minute: int) -> None: ...

    def close(self) -> None: ...


@click.command(epilog="Example: hoodside bench said tests/dialogues/faults --cars 30")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--cars", default=30, show_default=True, help="So many of them.")
@click.option("--by-the-book", is_flag=True, help="In the procedure's own order, though the plan leads a new job.")
@click.option("--silent", is_flag=True, help="Words alone, nothing rendered.")
@click.option("--lines", is_flag=True, help="What was said to the last car, in each way.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object a way in place of words.")
def command(*, folder: Path, cars: int, by_the_book: bool, silent: bool, lines: bool, as_json: bool) -> None:
    """Count what is said over made-up cars.

    FOLDER holds one YAML file a car, and usual.yaml for all that is in order."""
    _, library = load_library(ROOT)
    chosen = read_cars(folder, cars)
    seconds_of = (lambda _text: 0.0) if silent else _rendered()
    whole: dict[Manner, float] = {}
    for manner in Manner:
        talks = [talk_to(library, car, manner, seconds_of, leads=not by_the_book) for car in chosen]
        told = _figures(talks)
        whole[manner] = float(told["words"])
        told |= {"cars": len(talks), "of_full": round(told["words"] / whole[Manner.FULL], 3)}
        click.echo(json.dumps({"manner": manner.value, **told}) if as_json else _in_words(manner, told))
        for line in talks[-1].lines if lines else ():
            click.echo(f"    {line}")


def _figures(talks: Sequence[Talk]) -> dict[str, float]:
    first = [talk for talk in talks if talk.first_words is not None]
    return {
        "words": round(mean(talk.words for talk in talks), 1),
        "sentences": round(mean(talk.sentences for talk in talks), 1),
        "seconds": round(mean(talk.seconds for talk in talks), 1),
        "yes": round(mean(talk.yes for talk in talks), 1),
        "first_words": median(talk.first_words or 0 for talk in first),
        "first_seconds": round(median(talk.first_s or 0.0 for talk in first), 1),
        "first_of": len(first),
    }


def _in_words(manner: Manner, told: Mapping[str, float]) -> str:
    return (
        f"{manner}: {told['words']} words a car ({told['of_full']:.0%} of full), {told['sentences']} sentences, "
        f"{told['seconds']} s, {told['yes']} yes; before the first reading {told['first_words']:.0f} words, "
        f"{told['first_seconds']} s (median of {told['first_of']})"
    )


def _rendered() -> Callable[[str], float]:
    synthesiser, known = make_synthesiser(), dict[str, float]()

    def seconds_of(text: str) -> float:
        if text not in known:
            parts = [
                synthesiser.render(breath, words_per_minute=USUAL_RATE_WPM, rate_hz=RATE_HZ).size / RATE_HZ
                for breath in breaths(text)
            ]
            known[text] = sum(parts) + BETWEEN_S * len(parts)
        return known[text]

    return seconds_of


def talk_to(
    library: Library, car: Car, manner: Manner, seconds_of: Callable[[str], float], *, leads: bool = True
) -> Talk:
    """One job from its opening to its end. `leads`: the plan leads it, as it does a new job.

    Raises UsageError where the car has no answer, or the job does not end.
    """
    talk, before = Talk(), (0, 0.0)

    def note(facts: Sequence[Fact]) -> None:
        nonlocal before
        if talk.first_words is None and any(_measures(fact.kind) for fact in facts):
            talk.first_words, talk.first_s = before
        before = (talk.words, talk.seconds)

    def answered(line: str) -> None:
        talk.yes += line == "yes"

    play(library, car, _CountingVoice(talk, seconds_of), manner=manner, leads=leads, before=note, answered=answered)
    return talk


def _measures(kind: FactKind) -> bool:
    return kind in (FactKind.READING_LOGGED, FactKind.READING_HEARD)

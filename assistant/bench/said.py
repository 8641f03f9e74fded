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

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.screen_plain import NoScreen
from assistant.errors import UsageError
from assistant.facts import FactKind
from assistant.guide import Library, Mode, State, begin, expected, next_deadline
from assistant.guide.state import USUAL_RATE_WPM, Frame
from assistant.language.breaths import breaths
from assistant.language.manner import Manner
from assistant.language.speech import Pause, Sentence, Tone, Utterance
from assistant.procedure.fault import Faults
from assistant.procedure.model import Kind
from assistant.procedure.nodes import plain, read_nodes
from assistant.reasoning.reasoner import make_reasoner
from assistant.session.adviser import Adviser
from assistant.session.conversation import Conversation
from assistant.session.trace import Trace
from assistant.session.typed import TypedTime
from assistant.wiring import load_library
from assistant.wiring.fault_models import model_for
from assistant.wiring.voices import make_synthesiser

ROOT = "no-start"
MOST_LINES = 1_000
RATE_HZ = 16_000
BETWEEN_S = 0.25
"""The breath between two sentences, as the voice leaves it."""

Answers = Mapping[str, Sequence[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """A made-up car. `answers`: "procedure/step" -> what is said there, in turn; the last one stays."""

    name: str
    answers: Answers


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

    def stop(self) -> None: ...

    def set_volume(self, level: float) -> None: ...

    def set_rate(self, words_per_minute: int) -> None: ...

    def close(self) -> None: ...


@click.command(epilog="Example: hoodside bench said tests/dialogues/faults --cars 30")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--cars", default=30, show_default=True, help="So many of them.")
@click.option("--silent", is_flag=True, help="Words alone, nothing rendered.")
@click.option("--led", is_flag=True, help="In the order that the plan leads, not by the book.")
@click.option("--lines", is_flag=True, help="What was said to the last car, in each way.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object a way in place of words.")
def command(*, folder: Path, cars: int, silent: bool, led: bool, lines: bool, as_json: bool) -> None:
    """Count what is said over made-up cars.

    FOLDER holds one YAML file a car, and usual.yaml for all that is in order."""
    _, library = load_library(ROOT)
    chosen = read_cars(folder, cars)
    seconds_of = (lambda _text: 0.0) if silent else _rendered()
    whole: dict[Manner, float] = {}
    for manner in Manner:
        talks = [talk_to(library, car, manner, seconds_of, leads=led) for car in chosen]
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


def read_cars(folder: Path, count: int) -> list[Car]:
    """So many cars of the folder that begin at `no-start`, spread evenly. Raises UsageError for a file that is none."""
    read = _read(folder / "usual.yaml")
    usual = {f"{name}/{step}": _said(said) for name, steps in read.items() for step, said in steps.items()}
    cars = []
    for path in sorted(folder.glob("*.yaml")):
        told = _read(path)
        if str(told.get("procedure")) == ROOT:
            own = {step: _said(said) for step, said in told["answers"].items()}
            cars.append(Car(name=path.stem, answers=usual | own))
    count = min(count, len(cars))
    return [cars[number * len(cars) // count] for number in range(count)]


def _said(answer: object) -> Sequence[str]:
    return [str(each) for each in answer] if isinstance(answer, list) else [str(answer)]


def _read(path: Path) -> dict[str, dict[str, object]]:
    faults = Faults(str(path))
    try:
        root = read_nodes(path.read_text(encoding="utf-8"), faults)
    except OSError as error:
        raise UsageError(f"'{path}' cannot be read: {error.strerror or error}.") from error
    found = None if root is None or len(faults) else plain(root)
    if not isinstance(found, dict):
        raise UsageError(f"'{path}' is no made-up car.")
    return found


def talk_to(
    library: Library, car: Car, manner: Manner, seconds_of: Callable[[str], float], *, leads: bool = False
) -> Talk:
    """One job from its opening to its end. Raises UsageError where the car has no answer, or the job does not end."""
    talk, model = Talk(), model_for(ROOT, None)
    journal = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
    conversation = Conversation(
        library=library,
        journal=journal,
        voice=_CountingVoice(talk, seconds_of),
        screen=NoScreen(),
        trace=Trace(),
        adviser=Adviser(make_reasoner(model), library) if model else None,
    )
    conversation.open(begin(library, ROOT, "made-up", car.name, {}, manner=manner, leads=leads))
    time, answered, before = TypedTime(conversation), dict[str, int](), (0, 0.0)
    for _ in range(MOST_LINES):
        if conversation.ended:
            return talk
        if talk.first_words is None and any(_measures(fact.kind) for fact in journal.facts(car.name)):
            talk.first_words, talk.first_s = before
        before = (talk.words, talk.seconds)
        line = _in_one_breath(conversation.state, car.answers) or _line(
            library, conversation.state, car.answers, answered
        )
        talk.yes += line == "yes"
        time.take(line)
    raise UsageError(f"The job of '{car.name}' does not end; last step '{conversation.state.at}'.")


def _measures(kind: FactKind) -> bool:
    return kind in (FactKind.READING_LOGGED, FactKind.READING_HEARD)


BREATH = {name: f"vehicle-facts/{step}" for name, step in (("fuel", "fuel"), ("hybrid", "drive"))}
BREATH |= {name: f"vehicle-facts/{name}" for name in ("cylinders", "ignition")}
"""The facts of the car that the opening asks for, and where the car has its answer."""


def _in_one_breath(state: State, answers: Answers) -> str:
    """All facts of the car at once, to who asks for them so; empty anywhere else."""
    asks = state.at == Frame(procedure="vehicle-facts", step="fuel") and state.mode is Mode.ASKING
    if not asks or state.manner is Manner.FULL:
        return ""
    told = [answers[place][0] for place in BREATH.values()]
    known = [each for each in told if "know" not in each and "sure" not in each]
    return f"it's a {' and '.join(known)}"


def _line(library: Library, state: State, answers: Answers, answered: dict[str, int]) -> str:
    due_s = next_deadline(state)
    if due_s is not None:
        return f"@wait {max(0.0, due_s - state.at_s) + 0.01:.2f}"
    may = expected(library, state)
    if may.acknowledge:
        return may.acknowledge[0]
    by_mode = {
        Mode.POISED: "ready",
        Mode.CONFIRMING: "yes",
        Mode.CLOSING: "it is back on" if state.open_items else "done",
    }
    here = f"{state.at.procedure}/{state.at.step}"
    if state.mode in by_mode:
        return by_mode[state.mode]
    if library[state.at.procedure].step(state.at.step).kind is Kind.INSTRUCT:
        return "done"
    if here not in answers:
        raise UsageError(f"The car has no answer at '{here}'.")
    said, times = answers[here], answered.get(here, 0)
    answered[here] = times + 1
    return said[min(times, len(said) - 1)]

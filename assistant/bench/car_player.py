"""A made-up car played through a session: a made-up technician types what the car answers to whatever is asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.screen_plain import NoScreen
from assistant.errors import UsageError
from assistant.facts import Fact
from assistant.guide import Library, Mode, State, begin, expected, next_deadline
from assistant.guide.state import Frame
from assistant.language.manner import Manner
from assistant.ports import Voice
from assistant.procedure.fault import Faults
from assistant.procedure.model import Kind
from assistant.procedure.nodes import plain, read_nodes
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.session.adviser import Adviser
from assistant.session.conversation import Conversation
from assistant.session.trace import Trace
from assistant.session.typed import TypedTime
from assistant.wiring.fault_models import can_lead, load_model

ROOT = "no-start"
MOST_LINES = 1_000

Answers = Mapping[str, Sequence[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """A made-up car. `answers`: "procedure/step" -> what is said there, in turn; the last one stays."""

    name: str
    answers: Answers


def _no_line(_line: str) -> None: ...


def play(
    library: Library,
    car: Car,
    voice: Voice,
    *,
    manner: Manner,
    leads: bool,
    before: Callable[[Sequence[Fact]], None] | None = None,
    answered: Callable[[str], None] = _no_line,
) -> Sequence[Fact]:
    """One job from its opening to its end, and its facts. `leads`: the plan leads it, as it does a new job.

    `before` is given the facts before each answer, `answered` the answer. Raises UsageError where the car has no
    answer, or the job does not end.
    """
    reasoner = shipped_reasoner()
    journal = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
    conversation = Conversation(
        library=library,
        journal=journal,
        voice=voice,
        screen=NoScreen(),
        trace=Trace(),
        adviser=Adviser(reasoner, library),
    )
    leads = leads and can_lead(reasoner.model)
    conversation.open(begin(library, ROOT, "made-up", car.name, {}, manner=manner, leads=leads))
    time, said = TypedTime(conversation), dict[str, int]()
    for _ in range(MOST_LINES):
        if conversation.ended:
            return journal.facts(car.name)
        if before is not None:
            before(journal.facts(car.name))
        line = _in_one_breath(conversation.state, car.answers) or _line(library, conversation.state, car.answers, said)
        answered(line)
        time.take(line)
    raise UsageError(f"The job of '{car.name}' does not end; last step '{conversation.state.at}'.")


@cache
def shipped_reasoner() -> Reasoner:
    """The shipped fault model at work, read once a process."""
    return make_reasoner(load_model(ROOT))


def usual_answers(folder: Path) -> Answers:
    """What a car says at each step where no fault shows: `usual.yaml` of a folder of made-up cars.

    Raises UsageError for a file that is none."""
    read = _read(folder / "usual.yaml")
    return {f"{name}/{step}": _said(said) for name, steps in read.items() for step, said in steps.items()}


def read_cars(folder: Path, count: int) -> list[Car]:
    """So many cars of the folder that begin at `no-start`, spread evenly. Raises UsageError for a file that is none."""
    usual = usual_answers(folder)
    cars = []
    for path in sorted(folder.glob("*.yaml")):
        told = _read(path)
        if str(told.get("procedure")) == ROOT:
            asked = {**told["answers"], **told.get("led", {})}  # the second: of steps that no job by the book comes to
            own = {step: _said(said) for step, said in asked.items()}
            cars.append(Car(name=path.stem, answers={**usual, **own}))
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

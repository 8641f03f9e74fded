"""A car with one known fault, played by voice: every answer is spoken and understood, the clock is virtual.

The answers of a fault stand in `tests/dialogues/faults/*.yaml`; where a fault does not show, `usual.yaml` answers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from assistant.facts import Fact, FactKind
from assistant.guide import Mode, advance, begin, expected, next_deadline
from assistant.guide.turn import Turn
from assistant.language.model import Command, Heard, TimePassed, Unclear
from assistant.language.speech import Sentence
from assistant.language.understand import understand
from assistant.procedure.model import Kind, Procedure

FOLDER = Path(__file__).parents[1] / "dialogues" / "faults"
MOST_TURNS = 2_000
SECONDS_BETWEEN_WORDS = 4.0

Answers = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One car. `answers`: "procedure/step" -> what is said there, in turn; the last one stays."""

    name: str
    fault: str
    procedure: str
    answers: Answers
    ends: str
    finding: str
    still_open: str | None


@dataclass(slots=True, kw_only=True)
class Played:
    """What came of it: the lines of the talk, the facts, how often each step was answered, the finding."""

    talk: list[str] = field(default_factory=list)
    facts: list[Fact] = field(default_factory=list)
    answered: dict[str, int] = field(default_factory=dict)
    finding: Fact | None = None


def _tuple(answer: Any) -> tuple[str, ...]:
    return tuple(answer) if isinstance(answer, list) else (answer,)


def usual_answers() -> Answers:
    """What is said at each step where no fault shows."""
    read = yaml.safe_load((FOLDER / "usual.yaml").read_text(encoding="utf-8"))
    return {f"{name}/{step}": _tuple(said) for name, steps in read.items() for step, said in steps.items()}


def known_faults() -> Iterator[Fault]:
    """Every known fault, by file name."""
    for path in sorted(FOLDER.glob("*.yaml")):
        if path.name == "usual.yaml":
            continue
        read = yaml.safe_load(path.read_text(encoding="utf-8"))
        yield Fault(
            name=path.stem,
            fault=read["fault"],
            procedure=read["procedure"],
            answers={step: _tuple(said) for step, said in read["answers"].items()},
            ends=read["ends"],
            finding=read["finding"],
            still_open=read.get("open"),
        )


Think = Callable[[Turn, Command | Unclear | None], Turn]
"""What thinks along: the turn as it is recorded and spoken."""


def play(library: Mapping[str, Procedure], fault: Fault, usual: Answers, think: Think = lambda turn, _: turn) -> Played:
    """Lead the job from its opening to its end with this car's answers."""
    played = Played()
    turn = think(begin(library, fault.procedure, "made-up", fault.name, {}), None)
    _keep(played, turn)
    at_s = 0.0
    for _ in range(MOST_TURNS):
        state = turn.state
        if state.mode is Mode.ENDED:
            return played
        deadline_s = next_deadline(state)
        if deadline_s is not None and not _burst_may_be_told(turn):
            at_s = max(at_s, deadline_s)
            turn = think(advance(library, state, TimePassed(), at_s), TimePassed())
        else:
            words = _words(library, turn, fault, usual, played)
            played.talk.append(f"> {words}")
            at_s += SECONDS_BETWEEN_WORDS
            heard = Heard(words=words, confidence=1.0)
            command = understand(heard, expected(library, state))
            turn = think(advance(library, state, command, at_s, heard=heard), command)
            if turn.refused or not turn.facts:
                where = f"{state.at.procedure}/{state.at.step}: {words}: {turn.refused}"
                raise AssertionError("\n".join([*played.talk[-12:], where]))
        _keep(played, turn)
    raise AssertionError("the job does not end:\n" + "\n".join(played.talk[-40:]))


def _burst_may_be_told(turn: Turn) -> bool:
    timed = turn.state.timed
    return turn.state.mode is Mode.TIMING and timed is not None and timed.action == "crank" and timed.calls > 0


def _words(library: Mapping[str, Procedure], turn: Turn, fault: Fault, usual: Answers, played: Played) -> str:
    state = turn.state
    may = expected(library, state)
    if may.acknowledge:
        return may.acknowledge[0]
    if state.mode is Mode.POISED:
        return "ready"
    if state.mode is Mode.CONFIRMING:
        return "yes"
    if state.mode is Mode.CLOSING:
        return "it is back on" if state.open_items else "done"
    step = library[state.at.procedure].step(state.at.step)
    if step.kind is Kind.INSTRUCT:
        return "done"
    key = f"{state.at.procedure}/{state.at.step}"
    answers = fault.answers.get(key) or usual[key]
    times = played.answered.get(key, 0)
    played.answered[key] = times + 1
    return answers[min(times, len(answers) - 1)]


def _keep(played: Played, turn: Turn) -> None:
    played.facts.extend(turn.facts)
    played.talk.extend(each.text for each in turn.reply if isinstance(each, Sentence))
    for fact in turn.facts:
        if fact.kind is FactKind.FINDING_REACHED:
            played.finding = fact

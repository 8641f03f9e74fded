"""The trace: one JSON line a turn, written and flushed when the facts of the turn are durable."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any, Protocol

from assistant.guide import Turn
from assistant.language.model import (
    Acknowledge,
    BurstCaught,
    BurstDropped,
    BurstHeard,
    BurstStarted,
    Command,
    Dictate,
    GiveCode,
    GiveControl,
    GiveFacts,
    GiveReading,
    GiveResult,
    KeepPicture,
    TakeTo,
    TellTest,
    TimePassed,
    Unclear,
)
from assistant.language.questions import Ask
from assistant.language.speech import TONE, Pause, Sentence, Utterance

_NAMES: Mapping[type, str] = {
    Acknowledge: "acknowledge",
    Dictate: "words",
    KeepPicture: "picture",
    TimePassed: "time passed",
    BurstStarted: "burst started",
    BurstDropped: "burst dropped",
    BurstCaught: "burst caught",
}


class Lines(Protocol):
    """A text file that can be flushed."""

    def write(self, text: str, /) -> object:
        """Add text."""

    def flush(self) -> None:
        """Hand everything to the system."""


class Trace:
    """Writes turns to `lines`, or nowhere."""

    def __init__(self, lines: Lines | None = None) -> None:
        self._lines = lines

    def write(
        self,
        turn: Turn,
        *,
        heard: str | None,
        command: Command | Ask | Unclear | None,
        at_s: float,
        can_say: Iterable[str],
    ) -> None:
        """Add one turn and flush it. `can_say`: phrases that may be said now, each as it stands."""
        if self._lines is None:
            return
        line: dict[str, Any] = {
            "at_s": round(at_s, 3),
            "heard": heard,
            "command": describe(command),
            "mode": turn.state.mode.value,
            "procedure": turn.state.at.procedure or None,
            "step": turn.state.at.step or None,
            "said": list(written(turn.reply)),
            "facts": [fact.plain() for fact in turn.facts],
            "can_say": list(can_say),
        }
        self._lines.write(json.dumps(line, ensure_ascii=False) + "\n")
        self._lines.flush()


def written(reply: Iterable[Utterance]) -> tuple[str, ...]:
    """What is said as lines to read: sentences as they stand, and each tone as `[tone]`."""
    lines = ((each.text if isinstance(each, Sentence) else TONE) for each in reply if not isinstance(each, Pause))
    return tuple(lines)


def describe(command: Command | Ask | Unclear | None) -> str | None:
    """What was understood, in a few words: "yes", "result no-spark", "reading 12.4 V"."""
    match command:
        case None:
            return None
        case GiveControl(control=control):
            return control.value
        case Ask(question=question, supposed=supposed):
            return f"{question.value} {supposed}".rstrip()
        case GiveResult(result=result):
            return f"result {result}"
        case GiveFacts(facts=facts):
            return f"facts {' '.join(f'{told.fact}={told.value}' for told in facts)}"
        case GiveReading(value=value, unit=unit):
            return f"reading {value:g} {unit}"
        case TellTest(test=test, result=result):
            return f"found {test}={result}"
        case TakeTo(block=block):
            return f"take me to {block}"
        case GiveCode(code=code):
            return f"code {code}"
        case BurstHeard(seconds=seconds):
            return f"burst of {seconds:g} s"
        case Unclear(reason=reason):
            return f"unclear: {reason.value}"
        case _:
            return _NAMES[type(command)]

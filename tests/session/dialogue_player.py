"""Plays a dialogue kept as data: what is said, the command it must give, the reply that must come.

`until: procedure/step` leads there with the usual answers of a car without that fault; `say` is one line typed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml

from assistant.guide import Library, Mode, expected, next_deadline
from assistant.procedure.model import Kind
from assistant.session.adviser import Adviser
from tests.procedures.fault_player import usual_answers
from tests.session.room import Room

FOLDER = Path(__file__).parents[1] / "dialogues"
MOST_LINES = 600
KEYS = {"say", "until", "command", "reply", "mode", "at", "refused"}


def dialogues() -> Iterator[Path]:
    """Every dialogue file."""
    yield from sorted(FOLDER.glob("*.yaml"))


def play(library: Library, path: Path, adviser: Adviser | None = None) -> tuple[Room, dict[str, Any]]:
    """The session as it went to its end, and the dialogue's own data."""
    told = yaml.safe_load(path.read_text(encoding="utf-8"))
    room = Room(library, told.get("procedure", "no-start"), told.get("vehicle"), adviser)
    answers = {**{step: said[0] for step, said in usual_answers().items()}, **told.get("answers", {})}
    lead = Leader(room, library, answers)
    for turn in told["turns"]:
        assert set(turn) <= KEYS, f"{path.name}: {turn}"
        if "until" in turn:
            lead.until(turn["until"])
        else:
            check(path.name, turn, room.type(turn["say"]))
    lead.until(None)
    return room, told


def check(name: str, turn: Mapping[str, Any], seen: list[dict[str, Any]]) -> None:
    """Hold the turns that a line led to against what the dialogue says of them."""
    said = " ".join(text for line in seen for text in line["said"])
    where = f"{name}: after {turn['say']!r}: {said} [{seen[-1]['mode']} {seen[-1]['step']}]"
    if "command" in turn:
        assert seen[0]["command"] == turn["command"], f"{where}: {seen[0]['command']}"
    if "reply" in turn:
        assert turn["reply"] in said, where
    if "mode" in turn:
        assert seen[-1]["mode"] == turn["mode"], where
    if "at" in turn:
        assert f"{seen[-1]['procedure']}/{seen[-1]['step']}" == turn["at"], where


class Leader:
    """Leads on with the usual answers."""

    def __init__(self, room: Room, library: Library, answers: Mapping[str, str]) -> None:
        self._room = room
        self._library = library
        self._answers = answers

    def until(self, goal: str | None) -> None:
        """Type on until the step `goal` asks its own answer, or until the job has ended."""
        for _ in range(MOST_LINES):
            state = self._room.conversation.state
            here = f"{state.at.procedure}/{state.at.step}"
            if state.mode is Mode.ENDED or (here == goal and state.mode in (Mode.ASKING, Mode.POISED)):
                assert (state.mode is Mode.ENDED) == (goal is None), f"the job ended before {goal}"
                return
            self.next_line()
        raise AssertionError(f"did not reach {goal}; stands at {here} while {state.mode}")

    def next_line(self) -> None:
        """Type the one line that leads on from here."""
        at = self._room.conversation.state.at
        self._room.type(self._line(f"{at.procedure}/{at.step}"))

    def _line(self, here: str) -> str:
        state = self._room.conversation.state
        due_s = next_deadline(state)
        if due_s is not None:
            return f"@wait {max(0.0, due_s - state.at_s) + 0.01:.2f}"
        may = expected(self._library, state)
        if may.acknowledge:
            return may.acknowledge[0]
        step = self._library[state.at.procedure].step(state.at.step)
        by_mode = {
            Mode.POISED: "ready",
            Mode.CONFIRMING: "yes",
            Mode.HELD: "resume",
            Mode.CLOSING: "it is back on" if state.open_items else "done",
        }
        return by_mode.get(state.mode) or ("done" if step.kind is Kind.INSTRUCT else self._answers[here])

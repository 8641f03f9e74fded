"""A whole typed session without a process: real understanding, guide, journal and trace; the last two in memory."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping
from typing import Any

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.screen_plain import NoScreen
from assistant.adapters.voice_silent import SilentVoice
from assistant.facts import Fact
from assistant.guide import Library, begin
from assistant.ports import Aids, Screen
from assistant.session.adviser import Adviser
from assistant.session.conversation import Conversation
from assistant.session.trace import Trace
from assistant.session.typed import TypedTime


class Room:
    """One job under way. `trace` holds a line a turn, as read back from the trace file."""

    def __init__(
        self,
        library: Library,
        procedure: str = "no-start",
        vehicle: Mapping[str, str] | None = None,
        adviser: Adviser | None = None,
        attention: str = "",
        *,
        leads: bool = False,
        screen: Screen | None = None,
        glances: bool = False,
        aids: Aids | None = None,
    ) -> None:
        """By the book unless `leads`: most of what is typed in tests follows the procedures' own order."""
        self.lines = io.StringIO()
        self.journal = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
        self.conversation = Conversation(
            library=library,
            journal=self.journal,
            voice=SilentVoice(),
            screen=screen or NoScreen(),
            trace=Trace(self.lines),
            adviser=adviser,
            attention=attention,
            glances=glances,
            aids=aids,
        )
        self.conversation.open(begin(library, procedure, "made-up", "grey-hatchback", vehicle or {}, leads=leads))
        self._time = TypedTime(self.conversation)

    @property
    def trace(self) -> list[dict[str, Any]]:
        """Every turn so far."""
        return [json.loads(line) for line in self.lines.getvalue().splitlines()]

    @property
    def facts(self) -> tuple[Fact, ...]:
        """Every fact so far, from the journal."""
        return self.journal.facts("grey-hatchback")

    def type(self, *lines: str) -> list[dict[str, Any]]:
        """Type lines and return the turns that they led to."""
        before = self.lines.tell()
        for line in lines:
            self._time.take(line)
        return [json.loads(line) for line in self.lines.getvalue()[before:].splitlines()]

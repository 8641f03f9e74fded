"""A typed session: one line for one thing said, the same understanding as speech, and time that never sleeps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TextIO

from assistant.language.model import BurstStarted, Heard
from assistant.session.conversation import Conversation
from assistant.session.world import Crank, NotUnderstood, Wait, WorldLine, parse_world

LONGEST_LINE = 20_000
"""Characters; the rest of a longer line is dropped."""


class TypedTime:
    """Takes lines one by one, and keeps the time that `@wait` and `@crank` let pass.

    Time begins where the job stands.
    """

    def __init__(self, conversation: Conversation) -> None:
        self._conversation = conversation
        self._now_s = conversation.state.at_s

    @property
    def now_s(self) -> float:
        """Seconds since the job started."""
        return self._now_s

    def run_on(self, seconds: float) -> None:
        """Let so much time pass without a turn of its own. Raises RecordError."""
        self._now_s = round(self._now_s + seconds, 3)
        self._conversation.pass_time(self._now_s)

    def take(self, line: str) -> None:
        """One line: something said, or something of the world. Raises RecordError."""
        text = line.strip()
        if text.startswith("@"):
            self._let_happen(text)
        elif text:
            self._conversation.hear(Heard(words=text, confidence=1.0), self._now_s)
            self._conversation.pass_time(self._now_s)

    def _let_happen(self, line: str) -> None:
        try:
            happened = parse_world(line)
        except WorldLine as reason:
            self._conversation.remark(str(reason), self._now_s)
            return
        if isinstance(happened, NotUnderstood):
            self._conversation.hear(Heard(words=None, confidence=0.0), self._now_s)
        elif isinstance(happened, Wait):
            self._now_s = round(self._now_s + happened.seconds, 3)
            if not self._conversation.pass_time(self._now_s):
                self._conversation.note_time(self._now_s)
                self._conversation.name_after(happened.seconds, self._now_s)
        else:
            self._crank(happened)

    def _crank(self, crank: Crank) -> None:
        """The burst takes its time: the ear hears it begin, deadlines fall due, the ear hears it end."""
        self._conversation.sense(BurstStarted(), self._now_s)
        self._now_s = round(self._now_s + crank.burst.seconds, 3)
        self._conversation.pass_time(self._now_s)
        self._conversation.sense(crank.burst, self._now_s)


def run_typed(conversation: Conversation, lines: Iterable[str], *, leave_when_ended: bool = False) -> None:
    """Take every line in turn until there are no more, or, where a person types, until the job has ended.

    Raises RecordError.
    """
    time = TypedTime(conversation)
    for line in lines:
        time.take(line)
        if leave_when_ended and conversation.ended:
            return


def lines_of(stream: TextIO) -> Iterator[str]:
    """The lines of a text stream, each cut at LONGEST_LINE characters, so that no line can fill the memory."""
    while line := stream.readline(LONGEST_LINE):
        whole = line.endswith("\n")
        yield line
        while not whole:
            rest = stream.readline(LONGEST_LINE)
            whole = not rest or rest.endswith("\n")

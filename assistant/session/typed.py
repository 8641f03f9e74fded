"""A typed session: one line for one thing said, the same understanding as speech, and time that never sleeps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TextIO

from assistant.language.model import BurstStarted, Heard
from assistant.session.conversation import Conversation
from assistant.session.world import Crank, NotUnderstood, Wait, WorldLine, parse_world

LONGEST_LINE = 20_000
"""Characters; the rest of a longer line is dropped."""


def run_typed(conversation: Conversation, lines: Iterable[str], *, leave_when_ended: bool = False) -> None:
    """Take every line in turn until there are no more, or, where a person types, until the job has ended.

    Time is virtual: it begins where the job stands and moves only by `@wait` and `@crank`. Raises RecordError.
    """
    now_s = conversation.state.at_s
    for line in lines:
        text = line.strip()
        if text.startswith("@"):
            now_s = _let_happen(conversation, text, now_s)
        elif text:
            conversation.hear(Heard(words=text), now_s)
            conversation.pass_time(now_s)
        if leave_when_ended and conversation.ended:
            return


def _let_happen(conversation: Conversation, line: str, now_s: float) -> float:
    """What the line says of the world, and the time after it."""
    try:
        happened = parse_world(line)
    except WorldLine as reason:
        conversation.remark(str(reason), now_s)
        return now_s
    if isinstance(happened, NotUnderstood):
        conversation.hear(Heard(words=None), now_s)
        return now_s
    if isinstance(happened, Wait):
        after_s = now_s + happened.seconds
        if not conversation.pass_time(after_s):
            conversation.note_time(after_s)
        return after_s
    return _crank(conversation, happened, now_s)


def _crank(conversation: Conversation, crank: Crank, now_s: float) -> float:
    """The burst takes its time: the ear hears it begin, deadlines fall due, the ear hears it end."""
    after_s = now_s + crank.burst.seconds
    conversation.sense(BurstStarted(), now_s)
    conversation.pass_time(after_s)
    conversation.sense(crank.burst, after_s)
    return after_s


def lines_of(stream: TextIO) -> Iterator[str]:
    """The lines of a text stream, each cut at LONGEST_LINE characters, so that no line can fill the memory."""
    while line := stream.readline(LONGEST_LINE):
        whole = line.endswith("\n")
        yield line
        while not whole:
            rest = stream.readline(LONGEST_LINE)
            whole = not rest or rest.endswith("\n")

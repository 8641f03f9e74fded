"""A typed session with a page: lines and taps as they come, and time that also runs by the clock.

Somebody looks at count-downs, so they run. `@wait` still lets time pass at once.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from assistant.ports import Pictures, Taps, Voice
from assistant.session.conversation import Conversation
from assistant.session.taps import take_taps
from assistant.session.typed import TypedTime

BEAT_S = 0.03
"""How long a line is waited for before taps and the clock are looked at."""


class Lines(Protocol):
    """Lines that come when they come."""

    def next(self, timeout_s: float) -> str | None:
        """The next line, or None when none came in time. Raises EOFError at the end."""


def run_tapped(
    conversation: Conversation,
    lines: Lines,
    taps: Taps,
    voice: Voice,
    *,
    clock_s: Callable[[], float],
    pictures: Pictures | None = None,
    leave_when_ended: bool = False,
) -> None:
    """Take lines and taps until the lines end, or the job has. `clock_s`: never falls. `pictures`: as in
    `take_taps`. Raises RecordError."""
    time = TypedTime(conversation)
    before_s = clock_s()
    while not (leave_when_ended and conversation.ended):
        try:
            line = lines.next(BEAT_S)
        except EOFError:
            return
        if line is not None:
            time.take(line)
        now_s = clock_s()
        if not conversation.ended:
            time.run_on(now_s - before_s)
        before_s = now_s
        take_taps(taps, conversation, voice, time.now_s, pictures)
        conversation.show(time.now_s)

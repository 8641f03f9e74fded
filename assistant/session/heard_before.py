"""What was heard a moment ago bears on what is heard now: words doubted twice are sure, and who is not understood again
and again does not talk to us. Pure."""

from __future__ import annotations

from collections import deque
from dataclasses import replace

from assistant.language.model import TYPED, Heard
from assistant.language.opposites import contradicted

TALK_IN_A_ROW = 3
TALK_WITHIN_S = 30.0
"""After so many things in a row that were not taken, begun within so long, others talk: what comes next goes on with
that. Who is not understood is told so, and after the second time what can be said, before a third. Source: 0.82 h of
actors' talk at 13 steps, of the lines that may be learnt from, reckoned with 20 s: results and commands taken 44 -> 16
an hour, questions answered 11 -> 6, asked about 54 -> 33; two in a row, or 30 s, differ by two an hour at most."""


class HeardBefore:
    """Keeps what was doubted last, and when the last things were said of which nothing was taken."""

    def __init__(self) -> None:
        self._doubted: Heard | None = None
        self._not_taken_s: deque[float] = deque(maxlen=TALK_IN_A_ROW)

    def forget(self) -> None:
        """Something else came between."""
        self._doubted = None
        self._not_taken_s.clear()

    def amid(self, heard: Heard) -> Heard:
        """The same, as going on with other talk where others talk."""
        row = self._not_taken_s
        talk = len(row) == TALK_IN_A_ROW and heard.began_s - row[0] < TALK_WITHIN_S
        return replace(heard, amid=True) if talk and heard.engine != TYPED else heard

    def weigh(self, heard: Heard) -> Heard:
        """The same amid talk, and made sure where it was doubted just before: both hearings would have to err in the
        same way. Not where free writing says the opposite."""
        heard = self.amid(heard)
        doubted = heard.unsure or heard.amid
        before, self._doubted = self._doubted, heard if doubted and heard.words else None
        if before is None or not doubted or heard.words != before.words or contradicted(heard):
            return heard
        self._doubted = None
        sure = 1.0 - (1.0 - before.confidence) * (1.0 - heard.confidence)
        return replace(heard, unsure=False, cut=False, amid=False, confidence=sure)

    def note(self, heard: Heard, *, taken: bool) -> None:
        """Whether anything was taken of it; told of once or twice, it is one."""
        if taken:
            self._not_taken_s.clear()
        elif heard.ended_s not in self._not_taken_s:
            self._not_taken_s.append(heard.ended_s)

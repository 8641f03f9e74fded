"""Bursts that the ear is sure of where nobody asked for one: a question first, a fact only after its yes.

A shop is full of sounds like a starter, and a technician may crank unasked: the first must not become facts, the
second must not be forgotten by the starter's duty. So what is sure is asked about while it still matters to the duty.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from assistant.english import live as texts
from assistant.language.model import BurstHeard, Control

ANSWERED_S = 20.0
"""A yes or no later than this is not meant for the question. Source: judgement."""

AGAIN_S = 300.0
"""After a question that got no yes the next waits so long: noise that deceived once does so again. Judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Doubtful:
    burst: BurstHeard
    end_s: float


class Unasked:
    """What was heard unasked, and whether it was asked about. Times: seconds of the job."""

    def __init__(self) -> None:
        self._bursts: list[_Doubtful] = []
        self._asked_s: float | None = None  # when these bursts were asked about
        self._last_asked_s = -math.inf
        self._reminded = False

    def heard(self, burst: BurstHeard, at_s: float) -> None:
        """The ear heard a whole burst that nobody asked for, and is sure enough of it to ask."""
        self._bursts.append(_Doubtful(burst=burst, end_s=at_s - burst.ago_s))

    def forget_before(self, end_s: float) -> None:
        """The starter has rested from everything that ended before."""
        self._bursts = [each for each in self._bursts if each.end_s >= end_s]
        if not self._bursts:
            self._asked_s, self._reminded = None, False

    def may_ask(self, at_s: float) -> bool:
        """Whether the question is due."""
        return bool(self._bursts) and self._asked_s is None and at_s - self._last_asked_s >= AGAIN_S

    def ask(self, at_s: float) -> str:
        """The question, which is asked now."""
        self._asked_s = self._last_asked_s = at_s
        return texts.DID_IT_TURN

    def take(self, control: Control, at_s: float) -> str | tuple[BurstHeard, ...] | None:
        """What a command means for the question: words to say, bursts to keep, as they look from now, or nothing.

        Before the starter turns on our word, an open question is put once more.
        """
        if control is Control.READY and self._bursts and not self._reminded:
            self._reminded = True
            self.ask(at_s)
            return texts.DID_IT_TURN_FIRST
        waits = bool(self._bursts) and self._asked_s is not None and at_s - self._asked_s <= ANSWERED_S
        if control not in (Control.YES, Control.NO) or not waits:
            return None
        bursts, self._bursts = self._bursts, []
        self._asked_s, self._reminded = None, False
        if control is Control.NO:
            return texts.NOT_COUNTED
        self._last_asked_s = -math.inf
        return tuple(replace(each.burst, ago_s=max(0.0, at_s - each.end_s), confirmed=True) for each in bursts)

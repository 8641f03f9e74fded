"""Speech that was not understood: which sign each gets, so that nobody stands unheard, and no radio makes us babble."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from enum import Enum, auto

CHOICES_AGAIN_AFTER = 4
CHOICES_AGAIN_S = 20.0
LONGEST_AGAIN_S = 160.0
"""The choices are said again after so many misses more and so long a time, which doubles each time up to this."""

SPOKEN_MOST: Sequence[tuple[float, int]] = ((60.0, 3), (600.0, 8))
"""In so many seconds at most so many misses are spoken about; the others get their tone. Source: judgement."""


class Sign(Enum):
    """What a miss is answered with. Every sign begins with the tone."""

    TONE = auto()
    AGAIN = auto()  # "I did not catch that", and what is listened for
    CHOICES = auto()  # every answer that is listened for


class Misses:
    """Counts what was not understood since the last thing that was."""

    def __init__(self) -> None:
        self.row = 0
        self._since_choices = 0
        self._again_s = CHOICES_AGAIN_S
        self._spoken_s: deque[float] = deque(maxlen=max(most for _, most in SPOKEN_MOST))

    def missed(self, at_s: float) -> Sign:
        """The sign for one more miss at that time of the job."""
        self.row += 1
        self._since_choices += 1
        sign = self._wanted(at_s)
        if sign is Sign.TONE or not self._may_speak(at_s):
            return Sign.TONE
        self._spoken_s.append(at_s)
        if sign is Sign.CHOICES:
            self._since_choices = 0
        return sign

    def understood(self) -> None:
        """Something was understood: the next miss is the first again. What was spoken stays counted."""
        self.row = self._since_choices = 0
        self._again_s = CHOICES_AGAIN_S

    def _wanted(self, at_s: float) -> Sign:
        if self.row <= 2:
            return Sign.AGAIN if self.row == 1 else Sign.CHOICES
        waited_s = at_s - self._spoken_s[-1] if self._spoken_s else CHOICES_AGAIN_S
        if self._since_choices < CHOICES_AGAIN_AFTER or waited_s < self._again_s:
            return Sign.TONE
        self._again_s = min(LONGEST_AGAIN_S, 2.0 * self._again_s)
        return Sign.CHOICES

    def _may_speak(self, at_s: float) -> bool:
        return all(sum(at_s - said_s < span_s for said_s in self._spoken_s) < most for span_s, most in SPOKEN_MOST)

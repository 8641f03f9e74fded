"""How far we are behind what the microphone hears: what is slow says so instead of falling silent."""

from __future__ import annotations

CATCHING_UP_S = 1.0
"""From here on only what must be done is done, until the sound that waits has been heard. Source: judgement."""

SLOW_S = 2.0
"""An answer later than this is told of: by then one wonders whether one was heard. Source: judgement."""

IN_TIME_S = 0.5
RECOVERED_AFTER_S = 20.0
"""In time for so long, the machine counts as quick again; the next slowness is told of anew. Source: judgement."""


class Lag:
    """Fed with the lateness of each block. Times: seconds of the job."""

    def __init__(self) -> None:
        self.behind_s = 0.0
        self._told = False
        self._in_time_from_s: float | None = None

    def note(self, behind_s: float, at_s: float) -> None:
        """The latest block was dealt with so long after its sound."""
        self.behind_s = behind_s
        if behind_s > IN_TIME_S:
            self._in_time_from_s = None
        elif self._in_time_from_s is None:
            self._in_time_from_s = at_s
        elif at_s - self._in_time_from_s >= RECOVERED_AFTER_S:
            self._told = False

    @property
    def catching_up(self) -> bool:
        """Whether what can be left out is left out."""
        return self.behind_s > CATCHING_UP_S

    def to_tell(self) -> bool:
        """Whether it is time to say so; True once for each slowness."""
        tell = self.behind_s > SLOW_S and not self._told
        self._told = self._told or tell
        return tell

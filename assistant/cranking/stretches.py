"""Stretches of raised sound: where something began, and where it stopped, whatever it was.

A starter lifts the *floor* of many bands at once and holds it up until it is released; talk, blows and music let it
fall again and again. So a beginning is a floor that stands above what the bands usually reached just before, and the
stretch lasts until the bands that rose fall back. Works on steps of 40 ms as they come; several stretches may be open
at once, since something may begin on top of something else.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

import numpy as np

from assistant.cranking.around import Band, rank
from assistant.cranking.levels import BANDS, FLOOR_DB, LEVEL_RATE_HZ, Levels

STEP = 5  # levels in a step
STEP_S = STEP / LEVEL_RATE_HZ
LONGEST_S = 40.0

_AHEAD = 9  # steps looked at after a beginning: 0.36 s, so that it is told within half a second
_BEFORE = 40  # steps of what was there before: 1.6 s
_LEAST_RISE_DB = 1.6
_FULL_RISE_DB = 8.0
_FALL_DB = 10.0
_SMOOTH = 4  # steps of the median that must fall: 0.16 s
_AUDIBLE_DB = -80.0


@dataclass(slots=True, kw_only=True)
class Stretch:
    """One stretch of raised sound. Times are in levels (8 ms); `stop` is None while it lasts.

    `before`: usual level of each band before it, dB. `weights`: how far each band rose, 0 to 1.
    `rise_db`: how clearly it began; 0 when the sound was there from the very first.
    """

    start: int
    before: Band
    weights: Band
    rise_db: float
    stop: int | None = None
    fall_db: float = 0.0
    seen: list[float] = field(default_factory=list)


class StretchFinder:
    """Finds stretches in levels as they come."""

    def __init__(self) -> None:
        self.open: list[Stretch] = []
        self._pending = np.zeros((0, BANDS), dtype=np.float32)
        self._steps: deque[Band] = deque(maxlen=_BEFORE + _AHEAD + 1)
        self._count = 0
        self._last_rise = (-99, 0.0)

    def feed(self, levels: Levels) -> tuple[list[Stretch], list[Stretch]]:
        """Stretches that began and stretches that ended with these levels."""
        begun: list[Stretch] = []
        ended: list[Stretch] = []
        held = np.concatenate([self._pending, levels])
        whole = len(held) // STEP
        self._pending = held[whole * STEP :]
        for step in held[: whole * STEP].reshape(whole, STEP, BANDS).mean(axis=1, dtype=np.float64):
            self._steps.append(step)
            self._count += 1
            ended += self._follow(step)
            begun += self._look()
        return begun, ended

    def finish(self) -> list[Stretch]:
        """What was still open when the sound ended, ended there."""
        ended, self.open = self.open, []
        for stretch in ended:
            stretch.stop = self._count * STEP
        return ended

    def _look(self) -> list[Stretch]:
        if self._count == _AHEAD:
            return self._look_at_first()
        if len(self._steps) < _AHEAD + 4:
            return []
        steps = np.asarray(self._steps)
        ahead = rank(steps[-_AHEAD:], 0.25)
        before = rank(steps[:-_AHEAD], 0.6)
        rise = ahead - before
        clear = float(np.sort(np.clip(rise, -3, 15))[BANDS // 2 :].mean())
        at = self._count - _AHEAD
        known_at, known = self._last_rise
        if clear < _LEAST_RISE_DB or (at - known_at < 12 and clear < known + 3):
            return []
        self._last_rise = (at, clear)
        stretch = Stretch(
            start=at * STEP,
            before=before,
            weights=np.clip(rise / _FULL_RISE_DB, 0.05, 1.0) ** 2,
            rise_db=clear,
        )
        stretch.seen = [self._height(stretch, step) for step in steps[-_AHEAD:]]
        self.open = [
            other for other in self.open if other.start < stretch.start - 8 * STEP
        ]  # else it is the same, clearer
        self.open.append(stretch)
        return [stretch]

    def _look_at_first(self) -> list[Stretch]:
        """Sound that is there from the very first may be a starter already turning."""
        steps = np.asarray(self._steps)
        ahead = rank(steps, 0.25)
        if ahead.max() < _AUDIBLE_DB:
            return []
        before = np.maximum(ahead - 20.0, FLOOR_DB)
        stretch = Stretch(start=0, before=before, weights=np.full(BANDS, 0.5), rise_db=0.0)
        stretch.seen = [self._height(stretch, step) for step in steps]
        self.open.append(stretch)
        return [stretch]

    @staticmethod
    def _height(stretch: Stretch, step: Band) -> float:
        weights = stretch.weights
        return float(np.clip(step - stretch.before, -3, 60) @ weights / weights.sum())

    def _follow(self, step: Band) -> list[Stretch]:
        ended = []
        for stretch in list(self.open):
            seen = stretch.seen
            seen.append(self._height(stretch, step))
            past = sorted(seen[-75:])
            usual = past[int(0.3 * len(past))]
            recent = sum(sorted(seen[-_SMOOTH:])[1:3]) / 2
            over = len(seen) * STEP_S > LONGEST_S
            if recent < max(0.45 * usual, usual - _FALL_DB) or over:
                self.open.remove(stretch)
                stretch.stop = (self._count - (0 if over else _SMOOTH // 2)) * STEP
                stretch.fall_db = 0.0 if over else usual - recent
                ended.append(stretch)
        return ended

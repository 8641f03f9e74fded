"""An ear that is told by a script what it hears: levels and odds are given, so that only its own rules are at work."""

from __future__ import annotations

from contextlib import nullcontext
from typing import Any

import numpy as np
import pytest

from assistant.cranking.kinds import KINDS
from assistant.cranking.layers import ELSE, ENGINE, STARTER
from assistant.cranking.levels import BANDS, HOP, LEVEL_RATE_HZ
from assistant.cranking.live import CrankEar
from assistant.cranking.model import Kind
from assistant.cranking.traits import STEP

SURE = 6.0
"""How far the odds of what goes on stand above those of all else."""


class Script:
    """Some seconds of quiet, in which things are put; then an ear that hears them."""

    def __init__(self, seconds: float) -> None:
        count = round(seconds * LEVEL_RATE_HZ)
        self.levels = np.full((count, BANDS), -60.0, dtype=np.float32)
        self.odds = np.full((count // STEP, 3), -SURE, dtype=np.float32)
        self.odds[:, ELSE] = 0.0
        self.shares: np.ndarray | None = None

    def like(self, kind: Kind, share: float = 0.95) -> Script:
        """What every stretch is most likely, judged over its whole time; else nobody asks."""
        self.shares = np.full(len(KINDS), (1 - share) / (len(KINDS) - 1))
        self.shares[KINDS.index(kind)] = share
        return self

    def raise_(self, begin_s: float, end_s: float, by_db: float, pulse_hz: float = 0.0) -> Script:
        """Louder in all bands between two seconds, pulsing so often a second."""
        begin, end = (round(at * LEVEL_RATE_HZ) for at in (begin_s, end_s))
        wave = 4.0 * np.cos(2 * np.pi * pulse_hz * np.arange(end - begin) / LEVEL_RATE_HZ) if pulse_hz else 0.0
        self.levels[begin:end] = (-60.0 + by_db + np.broadcast_to(wave, end - begin))[:, None]
        return self

    def seem(self, part: int, begin_s: float, end_s: float, sure: float = SURE) -> Script:
        """What the trained layers take it for between two seconds."""
        begin, end = (round(at * LEVEL_RATE_HZ / STEP) for at in (begin_s, end_s))
        self.odds[begin:end] = -SURE
        self.odds[begin:end, part], self.odds[begin:end, ELSE] = 0.0, -sure
        return self

    def doubt(self, begin_s: float, end_s: float, sure: float) -> Script:
        """What the trained layers hold for nothing, but only so surely against a starter."""
        begin, end = (round(at * LEVEL_RATE_HZ / STEP) for at in (begin_s, end_s))
        self.odds[begin:end, STARTER] = -sure
        return self

    def starter(self, begin_s: float, end_s: float, sure: float = SURE) -> Script:
        """A plain one."""
        return self.raise_(begin_s, end_s, 15.0, 6.0).seem(STARTER, begin_s, end_s, sure)

    def engine(self, begin_s: float, end_s: float, by_db: float = 22.0, sure: float = SURE) -> Script:
        """A plain one, louder than the starter."""
        return self.raise_(begin_s, end_s, by_db).seem(ENGINE, begin_s, end_s, sure)

    def told(self, monkeypatch: pytest.MonkeyPatch, expected: float = 0.0) -> list[tuple[float, Any]]:
        """What the ear tells, and when, every 40 ms; then, at no time, what the end of the sound brings."""
        script = self

        class Track:
            """Stands for the trained layers: the same odds whenever they are looked at."""

            first = 0

            def __init__(self, _layers: object) -> None:
                self.now = 0

            def feed(self, levels: np.ndarray, _pcm: np.ndarray) -> None:
                self.now += len(levels)

            def look(self) -> None:
                """Nothing to bring up to date."""

            @property
            def levels(self) -> np.ndarray:
                return script.levels[: self.now]

            @property
            def odds(self) -> np.ndarray:
                return script.odds[: self.now // STEP]

            @property
            def pcm(self) -> np.ndarray:
                return np.zeros(self.now * HOP, np.int16)

        class Meter:
            """Stands for the sound."""

            def __init__(self) -> None:
                self.at = 0

            def feed(self, pcm: np.ndarray) -> np.ndarray:
                self.at += len(pcm)
                return script.levels[(self.at - len(pcm)) // HOP : self.at // HOP]

        class Layers:
            """None."""

            kinds = None if script.shares is None else staticmethod(lambda _described: script.shares)
            one_core = staticmethod(nullcontext)

        monkeypatch.setattr("assistant.cranking.live.OddsTrack", Track)
        monkeypatch.setattr("assistant.cranking.live.LevelMeter", Meter)
        monkeypatch.setattr("assistant.cranking.live.unless_plain", lambda _levels, _pcm, case: case)  # no sound
        self.ear = ear = CrankEar(Layers(), 4)  # type: ignore[arg-type] - a stand-in
        ear.expected = expected
        found = list[tuple[float, Any]]()
        for block in range(len(self.levels) // 5):
            at_s = (block + 1) * 5 / LEVEL_RATE_HZ
            found += [(at_s, event) for event in ear.feed(np.zeros(5 * HOP, np.int16))]
        return [*found, *((-1.0, event) for event in ear.finish())]

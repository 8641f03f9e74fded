"""How loud we speak over the shop's noise: the noise is measured in our silences, and our voice follows it half way.

People do the same: over noise they raise their voice by some 0.3 to 0.5 dB for each dB (from memory, the Lombard
effect). What was chosen by "louder" and "softer" holds for the noise that there was then.
"""

from __future__ import annotations

from collections import deque

import numpy as np

from assistant.hearing.level import rms_dbfs
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

FOLLOWS = 0.5
"""Decibels of ours for each of the noise."""

SOFTEST_DB, LOUDEST_DB = -6.0, 9.0
"""Bounds of what is added to the chosen volume. Source: judgement; the voice bends what would be cut off."""

STEP_DB = 1.0
"""Smaller changes are not worth a change: nobody hears them between two sentences."""

REMEMBERED_S = 8.0
LEAST_S = 2.0
"""So much noise is looked back upon, and so much is needed to know it. Source: judgement."""

AFTER_US_S = 0.4
"""So long after our own voice the room may still ring."""


class Loudness:
    """What is added to the chosen volume, from the noise between sentences. `lift_db`: decibels, as it stands."""

    def __init__(self, chosen_at_dbfs: float | None = None) -> None:
        """`chosen_at_dbfs`: the noise for which the volume was chosen; None for what is heard first."""
        self._chosen_at_dbfs = chosen_at_dbfs
        self._levels: deque[tuple[float, float]] = deque()  # seconds and level of each block in our silences
        self._heard_s = 0.0
        self._quiet_from_s = 0.0
        self.lift_db = 0.0

    @property
    def noise_dbfs(self) -> float | None:
        """The noise as the microphone gives it; None until enough was heard. Its median, so that a word or a blow in
        it does not count."""
        if self._heard_s < LEAST_S:
            return None
        return float(np.median([level for _, level in self._levels]))

    def hear(self, block: AudioBlock, *, speaking: bool) -> bool:
        """One block, and whether we spoke meanwhile. Returns whether the lift has changed."""
        end_s = block.start_s + block.pcm.size / SAMPLE_RATE_HZ
        if speaking:
            self._quiet_from_s = end_s + AFTER_US_S
            return False
        if block.start_s < self._quiet_from_s or not block.pcm.any():
            return False
        self._levels.append((end_s - block.start_s, rms_dbfs(block.pcm)))
        self._heard_s += end_s - block.start_s
        while self._heard_s - self._levels[0][0] >= REMEMBERED_S:
            self._heard_s -= self._levels.popleft()[0]
        return self._follow()

    def choose(self) -> float | None:
        """The volume was chosen anew, for the noise as it is; returns that."""
        self._chosen_at_dbfs = self.noise_dbfs
        self.lift_db = 0.0
        return self._chosen_at_dbfs

    def _follow(self) -> bool:
        noise = self.noise_dbfs
        if noise is None:
            return False
        if self._chosen_at_dbfs is None:
            self._chosen_at_dbfs = noise
        wanted = min(LOUDEST_DB, max(SOFTEST_DB, FOLLOWS * (noise - self._chosen_at_dbfs)))
        if abs(wanted - self.lift_db) < STEP_DB:
            return False
        self.lift_db = round(wanted, 1)
        return True
